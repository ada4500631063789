//go:build unix

package regular_test

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"golang.org/x/sys/unix"

	"kilnpoise/mesh/regular"
)

func TestRead(t *testing.T) {
	dir := t.TempDir()
	file, pipe := filepath.Join(dir, "file"), filepath.Join(dir, "pipe")
	if err := os.WriteFile(file, []byte("12345"), 0o600); err != nil {
		t.Fatal(err)
	}
	if err := unix.Mkfifo(pipe, 0o600); err != nil {
		t.Skip("needs pipes")
	}
	tests := []struct {
		path string
		most int64
		want string // of the error; "" for none
	}{
		{file, 5, ""}, {file, 4, "larger than 4 bytes"}, {dir, 5, "folder"}, {pipe, 5, "pipe"}, {"/dev/zero", 5, "device"},
		{filepath.Join(dir, "missing"), 5, "no such file"},
	}
	for _, tt := range tests {
		data, err := regular.Read(tt.path, tt.most)
		if tt.want == "" {
			if err != nil || string(data) != "12345" {
				t.Errorf("%s: %q, %v", tt.path, data, err)
			}
			continue
		}
		if err == nil || !strings.Contains(err.Error(), tt.want) || strings.Contains(err.Error(), dir) {
			t.Errorf("%s: error %v, want %q without the path", tt.path, err, tt.want)
		}
	}
}
