//go:build !windows

package window

import (
	"context"
	"errors"
	"fmt"
	"os/exec"
)

// printFile sends a PDF to the default printer of the system, through CUPS.
func printFile(ctx context.Context, path string) error {
	err := runCommand(ctx, "lp", path)
	if errors.Is(err, exec.ErrNotFound) {
		return fmt.Errorf("there is no printing system on this computer; open the sheet and print it from there (%w)", err)
	}
	if err != nil {
		return fmt.Errorf("the sheet was not printed: %w; check that a default printer is set up", err)
	}
	return nil
}
