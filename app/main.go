// Kilnpoise works out which way up a part is printed in metal-filled filament
// and how it stands in the furnace. Without a command it opens the window.
package main

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

func main() {
	// A pipe that nobody reads any more is an error of writing, not the end of a run.
	signal.Ignore(syscall.SIGPIPE)
	ctx, stop := signal.NotifyContext(context.Background(), stopSignals()...)
	defer stop()
	desk := fault.Desk{Folder: fault.Folder(), Version: version}
	os.Exit(run(ctx, desk, os.Args[1:], os.Stdout, os.Stderr))
}

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
	known, _, err := rootCommand().Find(args)
	if err != nil {
		return "kilnpoise"
	}
	return known.CommandPath()
}
