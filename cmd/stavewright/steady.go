package main

import (
	"errors"
	"io"
	"io/fs"
	"os"
	"time"
)

// maxInput is more than any reader of an input file takes.
const maxInput = 600 << 20

// readFile reads one input file whole, with a plain word on what is wrong when it cannot.
func (a *app) readFile(path string) ([]byte, error) {
	a.inputs = append(a.inputs, path)
	data, err := readSteady(path, func(f *os.File) ([]byte, error) { return readAtMost(f, maxInput) })
	switch {
	case err == nil:
		return data, nil
	case errors.Is(err, errFolder):
		return nil, usage("%s: this is a folder; name a file in it", path)
	case errors.Is(err, errTooLarge):
		return nil, usage("%s: the file is larger than %d MB; name another", path, maxInput>>20)
	case errors.Is(err, fs.ErrNotExist):
		return nil, usage("%s: there is no such file", path)
	case errors.Is(err, fs.ErrPermission):
		return nil, usage("%s: may not be read; check its permissions", path)
	}
	return nil, usage("%s: %w", path, pathless(err))
}

var (
	errTooLarge = errors.New("too large")
	errFolder   = errors.New("a folder")
)

// readAtMost reads a file that is no larger than so many bytes, whatever its size is said to be: a device has none.
func readAtMost(f *os.File, most int64) ([]byte, error) {
	if info, err := f.Stat(); err == nil && info.Size() > most {
		return nil, errTooLarge
	}
	data, err := io.ReadAll(io.LimitReader(f, most+1))
	if err == nil && int64(len(data)) > most {
		return nil, errTooLarge
	}
	return data, err
}

// A file that another program is writing is read again so many times, so far apart.
const (
	readTries = 3
	readPause = 100 * time.Millisecond
)

var errUnsteady = errors.New("it changes while it is read; wait until the program that writes it has ended, and run again")

// readSteady reads a file in one state: what changes between the first byte and the last is read again, and refused when it goes on
// changing. A file put in place of another meanwhile does no harm: the open one stays as it was.
func readSteady(path string, read func(*os.File) ([]byte, error)) ([]byte, error) {
	for try := 1; ; try++ {
		data, steady, err := readOnce(path, read)
		if err != nil || steady {
			return data, err
		}
		if try == readTries {
			return nil, errUnsteady
		}
		time.Sleep(readPause)
	}
}

func readOnce(path string, read func(*os.File) ([]byte, error)) (data []byte, steady bool, err error) {
	f, err := os.Open(path)
	if err != nil {
		return nil, false, err
	}
	defer f.Close()
	before, err := f.Stat()
	if err != nil {
		return nil, false, err
	}
	if before.IsDir() {
		return nil, false, errFolder
	}
	if data, err = read(f); err != nil {
		return nil, false, err
	}
	after, err := f.Stat()
	if err != nil {
		return nil, false, err
	}
	if !before.Mode().IsRegular() { // a pipe has no state to compare
		return data, true, nil
	}
	return data, before.Size() == after.Size() && before.ModTime().Equal(after.ModTime()) && int64(len(data)) == after.Size(), nil
}
