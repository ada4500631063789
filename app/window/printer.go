package window

import (
	"context"
	"errors"
	"fmt"
	"net/url"
	"os/exec"
	"path/filepath"
	"strings"
	"time"
)

// printTimeout is how long the system may take to accept a sheet.
const printTimeout = 30 * time.Second

// runCommand runs a program and gives its output in its error.
func runCommand(ctx context.Context, name string, args ...string) error {
	ctx, cancel := context.WithTimeout(ctx, printTimeout)
	defer cancel()
	output, err := exec.CommandContext(ctx, name, args...).CombinedOutput()
	if err == nil {
		return nil
	}
	said, _, _ := strings.Cut(strings.TrimSpace(string(output)), "\n")
	switch {
	case errors.Is(err, exec.ErrNotFound):
		return fmt.Errorf("this computer has no %s command: %w", name, err)
	case ctx.Err() != nil:
		return fmt.Errorf("%s did not answer: %w", name, ctx.Err())
	case said != "":
		return errors.New(said)
	default:
		return fmt.Errorf("%s failed: %w", name, err)
	}
}

// fileURL gives the URL of a file for the system's opener.
func fileURL(path string) (*url.URL, error) {
	abs, err := filepath.Abs(path)
	if err != nil {
		return nil, err
	}
	slashed := filepath.ToSlash(abs)
	if !strings.HasPrefix(slashed, "/") {
		slashed = "/" + slashed // a Windows drive
	}
	return &url.URL{Scheme: "file", Path: slashed}, nil
}
