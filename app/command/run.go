// Package command is the command line: it opens the window, or runs what works without
// one.
package command

import (
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"os/signal"
	"syscall"

	"kilnpoise/app/fault"
	_ "kilnpoise/app/locale" // before the window toolkit
)

// The exit codes are a contract: scripts rely on them.
const (
	exitDone    = 0
	exitFault   = 1 // the input or the environment is at fault
	exitUsage   = 2
	exitProgram = 3 // the program itself is at fault
)

// Main runs the program with the arguments after its name and gives the exit code.
func Main(args []string) int {
	// A pipe that nobody reads any more is an error of writing, not the end of a run.
	signal.Ignore(syscall.SIGPIPE)
	ctx, stop := signal.NotifyContext(context.Background(), stopSignals()...)
	defer stop()
	return run(ctx, faults(), args, os.Stdout, os.Stderr)
}

// faults gives where faults of the program are reported.
func faults() fault.Desk { return fault.Desk{Folder: fault.Folder(), Version: builtFrom().String()} }

// stopSignals ask the program to stop, and leave it time to clear up.
func stopSignals() []os.Signal { return []os.Signal{os.Interrupt, syscall.SIGTERM, syscall.SIGHUP} }

// run executes the command line and gives the exit code.
func run(ctx context.Context, desk fault.Desk, args []string, stdout, stderr io.Writer) int {
	err := desk.Catch(taskOf(args), func() error { return execute(ctx, args, stdout, stderr) })
	if err == nil {
		return exitDone
	}
	fmt.Fprintln(stderr, "kilnpoise:", line(err))
	switch {
	case isUsage(err):
		return exitUsage
	case errors.As(err, new(*fault.Error)):
		return exitProgram
	}
	return exitFault
}

// taskOf names the task of a command line for a report: its command, without what
// the user gave it.
func taskOf(args []string) string {
	known, _, err := Root().Find(args)
	if err != nil {
		return "kilnpoise"
	}
	return known.CommandPath()
}
