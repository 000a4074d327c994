//go:build cgo && asan

package mip

// sanitized: memory that is freed is kept back for a while, and leaks are looked for at the end.
const sanitized = true
