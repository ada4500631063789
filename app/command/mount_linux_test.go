package command

import (
	"fmt"

	"golang.org/x/sys/unix"
)

// mountSmall puts a file system of so many bytes on a folder.
func mountSmall(folder string, size int) error {
	return unix.Mount("tmpfs", folder, "tmpfs", 0, fmt.Sprintf("size=%d", size))
}

// makeReadOnly has nothing more written on the file system of a folder.
func makeReadOnly(folder string) error {
	return unix.Mount("", folder, "", unix.MS_REMOUNT|unix.MS_RDONLY, "")
}

func unmount(folder string) error { return unix.Unmount(folder, unix.MNT_DETACH) }
