// Release makes what a package of Kilnpoise holds beside the program: the page of the
// manual and the completions from the commands themselves, the icons, what tells a
// desktop which files it opens, the licences and the list of all that is linked in. It is
// run by .ci/package.
package main

import (
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"strconv"
	"time"

	"kilnpoise/app/command"
)

func main() {
	if err := run(os.Args[1:]); err != nil {
		fmt.Fprintln(os.Stderr, "release:", err)
		os.Exit(1)
	}
}

const usage = `usage:
  release version
  release share FOLDER                what lies under /usr/share
  release resource FOLDER NAME        kilnpoise.ico, and NAME.rc for windres
  release licences FOLDER PROGRAM...  licences, copyright and the list of what is linked in
SOURCE_DATE_EPOCH is the date of the release in seconds`

// run carries out one step.
func run(args []string) error {
	date, err := releaseDate()
	switch {
	case err != nil:
		return err
	case len(args) == 1 && args[0] == "version":
		fmt.Println(command.Version)
		return nil
	case len(args) == 2 && args[0] == "share":
		return writeShare(args[1], date)
	case len(args) == 3 && args[0] == "resource":
		return writeResource(args[1], args[2])
	case len(args) >= 3 && args[0] == "licences":
		return writeLicences(args[1], args[2:], date)
	}
	return errors.New(usage)
}

// releaseDate is that of the environment, as the project for reproducible builds has
// set it down, so that a release of one commit is always the same.
func releaseDate() (time.Time, error) {
	text := os.Getenv("SOURCE_DATE_EPOCH")
	seconds, err := strconv.ParseInt(text, 10, 64)
	if err != nil {
		return time.Time{}, fmt.Errorf("SOURCE_DATE_EPOCH is %q; set it to the date of the commit in seconds", text)
	}
	return time.Unix(seconds, 0).UTC(), nil
}

// files are written below a folder, by their paths.
type files map[string][]byte

// write writes them, with the folders they need.
func (f files) write(folder string) error {
	for path, data := range f {
		path = filepath.Join(folder, filepath.FromSlash(path))
		if err := os.MkdirAll(filepath.Dir(path), 0o755); err != nil {
			return err
		}
		if err := os.WriteFile(path, data, 0o644); err != nil {
			return err
		}
	}
	return nil
}
