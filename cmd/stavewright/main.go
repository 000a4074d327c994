// Command stavewright chooses which woods go at which place across a laminated board core, proves the choice best, and
// says what it costs.
//
// One file per command: flags in, calls, writers out; no computing here.
package main

import (
	"context"
	"fmt"
	"io"
	"os"
	"os/signal"
	"syscall"

	"stavewright/cmd/internal/report"
)

func main() {
	signal.Ignore(syscall.SIGPIPE) // a reader of standard output that has enough must not cost the files still to be written
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt, syscall.SIGTERM)
	go func() {
		<-ctx.Done()
		stop() // a second interrupt ends the program at once
	}()
	os.Exit(run(ctx, os.Args[1:], os.Stdout, os.Stderr))
}

// run is the program but for the process around it: its status is the exit status.
func run(ctx context.Context, args []string, stdout, stderr io.Writer) (status int) {
	defer func() {
		if fault := recover(); fault != nil {
			fmt.Fprintf(stderr, "stavewright: a fault of the program, please report it: %v\n", fault)
			status = statusFault
		}
	}()
	out := &tolerant{Writer: stdout}
	a := &app{stdout: out, stderr: stderr}
	root := a.root()
	root.SetArgs(args)
	root.SetOut(out)
	root.SetErr(stderr)
	c, err := root.ExecuteContextC(ctx)
	err = after(out.fault(), err)
	if err == nil {
		return statusDone
	}
	if text := err.Error(); text != "" {
		fmt.Fprintln(stderr, report.Plain(text))
	}
	if !a.running { // cobra found it before any command ran
		fmt.Fprintf(stderr, "see: %s --help\n", c.CommandPath())
		return statusUsage
	}
	return exitStatus(err)
}
