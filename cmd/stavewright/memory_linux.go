package main

import (
	"os"
	"syscall"
)

// quietEnd sees to it that a run under a limit on memory (ulimit -v), should it hit the limit, ends with the two lines that say so and
// without pages of stack: the Go runtime cannot be asked for that except by the environment it starts in, so the program starts itself
// anew in one. No file is harmed by such an end: none has its name before it is whole.
func quietEnd() {
	var limit syscall.Rlimit
	if os.Getenv("GOTRACEBACK") != "" || syscall.Getrlimit(syscall.RLIMIT_AS, &limit) != nil || limit.Cur >= 1<<62 {
		return
	}
	self, err := os.Executable()
	if err != nil {
		return
	}
	// Should it fail, the run goes on as it is.
	_ = syscall.Exec(self, os.Args, append(os.Environ(), "GOTRACEBACK=none"))
}
