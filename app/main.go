// Kilnpoise works out which way up a part is printed in metal-filled filament
// and how it stands in the furnace. Without a command it opens the window.
package main

import (
	"os"

	"kilnpoise/app/command"
)

func main() { os.Exit(command.Main(os.Args[1:])) }
