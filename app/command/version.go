package command

import (
	"fmt"
	"runtime/debug"
	"time"
)

// Version is that of the program: of its packages, of what it says of itself, and of
// what it writes into jobs and reports.
const Version = "0.1.0"

// origin tells what a program was built from. Its zero value is one whose source was
// in no repository, or was not asked for it.
type origin struct {
	commit   string
	date     time.Time // of the commit
	modified bool      // the source was not quite that of the commit
}

// builtFrom reads the origin of this program.
func builtFrom() origin {
	info, ok := debug.ReadBuildInfo()
	if !ok {
		return origin{}
	}
	return originIn(info.Settings)
}

// originIn finds the origin among the settings of a build.
func originIn(settings []debug.BuildSetting) (o origin) {
	for _, s := range settings {
		switch s.Key {
		case "vcs.revision":
			o.commit = s.Value
		case "vcs.time":
			o.date, _ = time.Parse(time.RFC3339, s.Value) // without a date where it cannot be read
		case "vcs.modified":
			o.modified = s.Value == "true"
		}
	}
	return o
}

// String says version, commit and date.
func (o origin) String() string {
	if o.commit == "" {
		return Version + " (built from a source without commit)"
	}
	text := fmt.Sprintf("%s, commit %.12s", Version, o.commit)
	if !o.date.IsZero() {
		text += " of " + o.date.UTC().Format(time.DateOnly)
	}
	if o.modified {
		text += ", changed since"
	}
	return text
}
