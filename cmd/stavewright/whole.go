package main

import (
	"errors"
	"os"
	"path/filepath"
)

// A whole file takes its name only when all of it is written: until then it is a temporary file beside it, and whatever had
// the name keeps it. The well-kept library for this does not build for Windows, where a rename is not proof against a power cut but
// never leaves half a file either.
type whole struct {
	*os.File
	path string
	done bool
}

// newWhole begins a file that is to be at path.
func newWhole(path string) (*whole, error) {
	f, err := os.CreateTemp(filepath.Dir(path), "."+filepath.Base(path)+".*")
	if err != nil {
		return nil, err
	}
	return &whole{File: f, path: path}, nil
}

// commit gives the file its name.
func (w *whole) commit() error {
	err := errors.Join(w.Chmod(0o644), w.Sync(), w.Close())
	if err == nil {
		err = os.Rename(w.Name(), w.path)
	}
	w.done = err == nil
	return err
}

// discard removes the file if it has not taken its name.
func (w *whole) discard() {
	if !w.done {
		_ = w.Close() // perhaps a second time
		_ = os.Remove(w.Name())
	}
}

// writeWhole writes a file at once.
func writeWhole(path string, data []byte) error {
	w, err := newWhole(path)
	if err != nil {
		return err
	}
	defer w.discard()
	if _, err := w.Write(data); err != nil {
		return err
	}
	return w.commit()
}
