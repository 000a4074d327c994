package main

import (
	"errors"
	"io"
	"syscall"
)

// A tolerant writer takes everything, and remembers the first thing that went wrong below it: a full disk or a closed pipe on standard
// output must not cost the files that a command writes afterwards.
type tolerant struct {
	io.Writer
	err error
}

func (t *tolerant) Write(p []byte) (int, error) {
	if t.err == nil {
		_, t.err = t.Writer.Write(p)
	}
	return len(p), nil
}

// fault is what to tell about the writer. A reader that has closed its end has read enough (stavewright woods | head): that is no
// fault.
func (t *tolerant) fault() error {
	if t.err == nil || errors.Is(t.err, syscall.EPIPE) || errors.Is(t.err, io.ErrClosedPipe) {
		return nil
	}
	return usage("standard output cannot be written: %w; what it holds is not whole", pathless(t.err))
}
