//go:build !windows

package main

import "github.com/google/renameio/v2"

// A pendingFile is a file that takes its name only when it is whole.
type pendingFile = renameio.PendingFile

func newPendingFile(path string) (*pendingFile, error) {
	return renameio.NewPendingFile(path, renameio.WithPermissions(0o644))
}
