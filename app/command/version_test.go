package command

import (
	"bytes"
	"context"
	"os"
	"path/filepath"
	"runtime/debug"
	"testing"

	"github.com/pelletier/go-toml/v2"

	"kilnpoise/app/fault"
)

// The file that the window toolkit's own tools read tells the same version.
func TestFyneAppTellsTheVersion(t *testing.T) {
	data, err := os.ReadFile(filepath.Join("..", "..", "FyneApp.toml"))
	if err != nil {
		t.Fatal(err)
	}
	var app struct {
		Details struct{ Version string }
	}
	if err := toml.Unmarshal(data, &app); err != nil {
		t.Fatal(err)
	}
	if app.Details.Version != Version {
		t.Errorf("FyneApp.toml tells version %q, the program %q", app.Details.Version, Version)
	}
}

func TestOrigin(t *testing.T) {
	tests := []struct {
		name     string
		settings []debug.BuildSetting
		want     string
	}{
		{"no repository", []debug.BuildSetting{{Key: "-trimpath", Value: "true"}}, Version + " (built from a source without commit)"},
		{"a clone", []debug.BuildSetting{
			{Key: "vcs.revision", Value: "0123456789abcdef0123456789abcdef01234567"},
			{Key: "vcs.time", Value: "2026-03-01T23:30:00-02:00"}, {Key: "vcs.modified", Value: "false"},
		}, Version + ", commit 0123456789ab of 2026-03-02"},
		{"a changed clone", []debug.BuildSetting{
			{Key: "vcs.revision", Value: "0123456789abcdef"}, {Key: "vcs.time", Value: "2026-03-01T23:30:00Z"}, {Key: "vcs.modified", Value: "true"},
		}, Version + ", commit 0123456789ab of 2026-03-01, changed since"},
		{"no date", []debug.BuildSetting{{Key: "vcs.revision", Value: "0123456789abcdef"}}, Version + ", commit 0123456789ab"},
	}
	for _, tt := range tests {
		if got := originIn(tt.settings).String(); got != tt.want {
			t.Errorf("%s: %q, want %q", tt.name, got, tt.want)
		}
	}
}

func TestVersionFlag(t *testing.T) {
	var out bytes.Buffer
	if code := run(context.Background(), fault.Desk{Folder: t.TempDir()}, []string{"--version"}, &out, &out); code != exitDone {
		t.Fatalf("exit code %d", code)
	}
	if want := "kilnpoise " + builtFrom().String() + "\n"; out.String() != want {
		t.Errorf("it says %q, want %q", out.String(), want)
	}
}
