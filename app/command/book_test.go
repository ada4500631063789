package command

import (
	"path/filepath"
	"testing"
)

// The exit codes of the firing book, in the order of a shop's work.
func TestBookExitCodes(t *testing.T) {
	t.Setenv("XDG_CONFIG_HOME", t.TempDir())
	table := filepath.Join(t.TempDir(), "table.csv")
	reading := []string{"--reading", "width,X,47.6,39.94", "--reading", "depth,Y,35,29.4", "--reading", "height,Z,25,20"}
	tests := []struct {
		name string
		args []string
		want int
	}{
		{"help", nil, exitDone},
		{"no such command", []string{"burn"}, exitUsage},
		{"nothing to add", []string{"add"}, exitUsage},
		{"unknown flag", []string{"add", "--bogus"}, exitUsage},
		{"bad reading", []string{"add", "--reading", "width"}, exitUsage},
		{"list of an empty book", []string{"list"}, exitDone},
		{"fit of an empty book", []string{"fit", "--material", "316l"}, exitFault},
		{"added", append([]string{"add"}, reading...), exitDone},
		{"swapped", []string{"add", "--reading", "width,X,39.94,47.6"}, exitFault},
		{"fit without material", []string{"fit"}, exitUsage},
		{"fit with an argument", []string{"fit", "316l"}, exitUsage},
		{"fit", []string{"fit", "--material", "316l"}, exitDone},
		{"fit of a material that is not known", []string{"fit", "--material", "bronze"}, exitFault},
		{"taken", []string{"fit", "--material", "316l", "--take"}, exitDone},
		{"export without a file", []string{"export"}, exitUsage},
		{"export", []string{"export", "--out", table}, exitDone},
		{"import", []string{"import", table}, exitDone},
		{"import of nothing", []string{"import"}, exitUsage},
		{"import of no file", []string{"import", table + "x"}, exitFault},
		{"a book that is none", []string{"list", "--book", table}, exitFault},
		{"remove by name", []string{"remove", "width"}, exitUsage},
		{"remove", []string{"remove", "1"}, exitDone},
		{"removed twice", []string{"remove", "1"}, exitFault},
	}
	for _, tt := range tests {
		if got := runs(t, append([]string{"book"}, tt.args...)); got != tt.want {
			t.Errorf("%s: exit code %d, want %d", tt.name, got, tt.want)
		}
	}
}
