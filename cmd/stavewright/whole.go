package main

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"syscall"
)

// A whole file takes its name only when all of it is written: until then it is a temporary file beside it, and whatever had
// the name keeps it. The well-kept library for this does not build for Windows, where a rename is not proof against a power cut but
// never leaves half a file either.
//
// A name that leads elsewhere keeps leading there: a link is followed. What is no file but a device or a pipe is written to as it is.
type whole struct {
	*os.File
	path string
	done bool
	own  bool // a temporary file that is to take the name
}

var errFolderThere = errors.New("there is a folder of that name")

// newWhole begins a file that is to be at path.
func newWhole(path string) (*whole, error) {
	if target, err := filepath.EvalSymlinks(path); err == nil {
		path = target
	}
	switch info, err := os.Stat(path); {
	case err != nil: // there is none
	case info.IsDir():
		return nil, errFolderThere
	case !info.Mode().IsRegular():
		f, err := os.OpenFile(path, os.O_WRONLY, 0)
		return &whole{File: f, path: path}, err
	case info.Mode().Perm()&0o222 == 0:
		return nil, errors.New("the file there is read-only")
	}
	f, err := os.CreateTemp(filepath.Dir(path), "."+filepath.Base(path)+".*")
	if err != nil {
		return nil, err
	}
	return &whole{File: f, path: path, own: true}, nil
}

// commit gives the file its name.
func (w *whole) commit() error {
	if !w.own {
		w.done = true
		return w.Close()
	}
	err := errors.Join(w.Chmod(0o644), w.Sync(), w.Close())
	if err == nil {
		err = os.Rename(w.Name(), w.path)
	}
	w.done = err == nil
	return err
}

// discard removes the file if it has not taken its name.
func (w *whole) discard() {
	if w.done {
		return
	}
	_ = w.Close() // perhaps a second time
	if w.own {
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

// spares makes sure that a file to be written is none of those that were read: a result never takes the place of a job book or a price
// sheet.
func (a *app) spares(path string) error {
	for _, read := range a.inputs {
		if sameFile(read, path) {
			return usage("%s is not written: it would take the place of %s, which this run reads; name another place by --out", path, read)
		}
	}
	return nil
}

// sameFile tells whether two paths lead to one file. What is not there, or cannot be seen, is the same as nothing.
func sameFile(a, b string) bool {
	one, err := os.Stat(a)
	if err != nil {
		return false
	}
	other, err := os.Stat(b)
	return err == nil && os.SameFile(one, other)
}

// roomForFile looks, before anything else begins, whether a file can be written at path. A pipe is left alone: whoever reads it would take the
// look for all there is.
func roomForFile(path string) error {
	if path == "" {
		return nil
	}
	if info, err := os.Stat(path); err == nil && !info.IsDir() && !info.Mode().IsRegular() {
		return nil
	}
	f, err := newWhole(path)
	if err != nil {
		return unwritten(path, err)
	}
	f.discard()
	return nil
}

// unwritten says why a file could not be written, and what to do. What had its name before is as it was.
func unwritten(path string, err error) error {
	advice := "if it is open in another program, close it there; or write into another folder"
	switch {
	case errors.Is(err, syscall.ENOSPC), errors.Is(err, syscall.EDQUOT), errors.Is(err, syscall.EFBIG):
		advice = "make room on that disk, or write into a folder elsewhere"
	case errors.Is(err, fs.ErrPermission), errors.Is(err, syscall.EROFS):
		advice = "write into a folder where you may"
	case errors.Is(err, errFolderThere):
		advice = "move it away, or name another place"
	case errors.Is(err, fs.ErrNotExist), errors.Is(err, syscall.ENOTDIR):
		advice = "make its folder first, or name a file in one that is there"
	}
	return usage("%s cannot be written: %w; %s", path, pathless(err), advice)
}

// pathless is an error of the system without the path in it: that of a temporary file says nothing to anyone.
func pathless(err error) error {
	var at *fs.PathError
	var renamed *os.LinkError
	switch {
	case errors.As(err, &at):
		return at.Err
	case errors.As(err, &renamed):
		return renamed.Err
	}
	return err
}

// room looks, before anything long begins, whether the results folder can be made and written into.
func (a *app) room() error {
	if a.out == "" {
		return nil
	}
	for at := filepath.Clean(a.out); ; at = filepath.Dir(at) {
		info, err := os.Stat(at)
		if errors.Is(err, fs.ErrNotExist) && filepath.Dir(at) != at {
			continue
		}
		switch {
		case err != nil:
		case !info.IsDir():
			err = fmt.Errorf("%s is a file, not a folder", at)
		default:
			var f *os.File
			if f, err = os.CreateTemp(at, ".stavewright.*"); err == nil {
				return errors.Join(f.Close(), os.Remove(f.Name()))
			}
		}
		return usage("nothing can be written into %s: %w; name another folder by --out", a.out, pathless(err))
	}
}
