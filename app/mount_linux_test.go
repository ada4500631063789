package main

import (
	"fmt"

	"golang.org/x/sys/unix"
)

// mountSmall puts a file system of so many bytes on a folder.
func mountSmall(folder string, size int) error {
	return unix.Mount("tmpfs", folder, "tmpfs", 0, fmt.Sprintf("size=%d", size))
}

func unmount(folder string) error { return unix.Unmount(folder, unix.MNT_DETACH) }
