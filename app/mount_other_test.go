//go:build unix && !linux

package main

import "errors"

func mountSmall(string, int) error { return errors.New("this system has no such file systems") }

func unmount(string) error { return nil }

func makeReadOnly(string) error { return errors.ErrUnsupported }
