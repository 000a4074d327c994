// Package book reads the job book, checks it as a whole, turns it into programs, and writes the starter job.
//
// It reads from an [io.Reader] and reports every problem at once, each with its sheet and cell; nothing is computed on
// a faulty book. It opens no other file and never searches.
package book
