package main

import (
	"os"
	"path/filepath"
)

// A pendingFile is a file that takes its name only when it is whole. renameio does not serve Windows, where replacing a file is
// no single step; the rename here is as near to one as the system has, and readers see the old file or the new one.
type pendingFile struct {
	*os.File
	path string
	done bool
}

func newPendingFile(path string) (*pendingFile, error) {
	f, err := os.CreateTemp(filepath.Dir(path), "."+filepath.Base(path)+"-*")
	if err != nil {
		return nil, err
	}
	return &pendingFile{File: f, path: path}, nil
}

// Cleanup removes what has not taken its name.
func (f *pendingFile) Cleanup() error {
	if f.done {
		return nil
	}
	f.done = true
	_ = f.Close() // closed already, perhaps
	return os.Remove(f.Name())
}

// CloseAtomicallyReplace gives the file its name.
func (f *pendingFile) CloseAtomicallyReplace() error {
	if err := f.Sync(); err != nil {
		return err
	}
	if err := f.Close(); err != nil {
		return err
	}
	if err := os.Rename(f.Name(), f.path); err != nil {
		return err
	}
	f.done = true
	return nil
}
