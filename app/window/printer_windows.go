package window

import (
	"context"
	"fmt"

	"golang.org/x/sys/windows"
)

// printFile hands a PDF to the program that prints PDFs here, by the shell's
// print verb.
func printFile(_ context.Context, path string) error {
	verb, err := windows.UTF16PtrFromString("print")
	if err != nil {
		return err
	}
	file, err := windows.UTF16PtrFromString(path)
	if err != nil {
		return fmt.Errorf("the path of the sheet cannot be handed to Windows: %w", err)
	}
	if err := windows.ShellExecute(0, verb, file, nil, nil, windows.SW_HIDE); err != nil {
		return fmt.Errorf("the sheet was not printed: %w; open it and print it from there", err)
	}
	return nil
}
