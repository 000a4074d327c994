//go:build cgo && !asan

package mip

const sanitized = false
