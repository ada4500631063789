//go:build unix && !linux

package command

import "errors"

func mountSmall(string, int) error { return errors.New("this system has no such file systems") }

func unmount(string) error { return nil }

func makeReadOnly(string) error { return errors.ErrUnsupported }
