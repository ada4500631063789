// Kilnpoise works out which way up a part is printed in metal-filled filament
// and how it stands in the furnace. Without a command it opens the window.
package main

import (
	"context"
	"fmt"
	"os"
	"os/signal"

	_ "kilnpoise/app/locale" // before the window toolkit
)

// The exit codes are a contract: scripts rely on them.
const (
	exitDone  = 0
	exitFault = 1 // the input or the environment is at fault
	exitUsage = 2
)

func main() {
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt)
	defer stop()
	os.Exit(run(ctx, os.Args[1:]))
}

// run executes the command line and gives the exit code.
func run(ctx context.Context, args []string) int {
	err := execute(ctx, args)
	if err == nil {
		return exitDone
	}
	fmt.Fprintln(os.Stderr, "kilnpoise:", err)
	if isUsage(err) {
		return exitUsage
	}
	return exitFault
}
