package fault_test

import (
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"testing"

	"kilnpoise/app/fault"
	"kilnpoise/mesh/parallel"
)

func indexes(list []int, i int) int { return list[i] }

func TestCatch(t *testing.T) {
	refused := errors.New("refused")
	tests := []struct {
		name string
		do   func() error
		want []string // in the report
	}{
		{"index", func() error { indexes(nil, 3); return nil }, []string{"index out of range [3] with length 0", "fault_test.indexes", "fault_test.go:"}},
		{"text", func() error { panic("the secret flange") }, []string{"panic: string", "TestCatch"}},
		{"error", func() error { panic(fmt.Errorf("secret %w", refused)) }, []string{"panic: *fmt.wrapError"}},
		{"nil pointer", func() error { var e *fault.Error; _ = e.Task; return nil }, []string{"nil pointer"}},
		{"another goroutine", func() error {
			var g parallel.Group
			g.Go(func() { indexes([]int{1}, 7) })
			g.Wait()
			return nil
		}, []string{"index out of range [7] with length 1", "fault_test.indexes"}},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			desk := fault.Desk{Folder: filepath.Join(t.TempDir(), "state", "reports"), Version: "9.9"}
			err := desk.Catch("drawing", tt.do)
			var f *fault.Error
			if !errors.As(err, &f) {
				t.Fatalf("error %v, want a fault", err)
			}
			if text := err.Error(); strings.Contains(text, "\n") || !strings.Contains(text, "drawing") || !strings.Contains(text, f.Report) || strings.Contains(text, "secret") {
				t.Errorf("the line is %q", text)
			}
			data, readErr := os.ReadFile(f.Report)
			if readErr != nil {
				t.Fatal(readErr)
			}
			for _, want := range append(tt.want, "Kilnpoise 9.9", "task: drawing") {
				if !strings.Contains(string(data), want) {
					t.Errorf("the report lacks %q:\n%s", want, data)
				}
			}
			if strings.Contains(string(data), "secret") {
				t.Errorf("the report tells of the part:\n%s", data)
			}
		})
	}
}

func TestCatchGivesTheTasksError(t *testing.T) {
	refused := errors.New("refused")
	folder := t.TempDir()
	for _, want := range []error{nil, refused} {
		if got := (fault.Desk{Folder: folder}).Catch("reading", func() error { return want }); got != want {
			t.Errorf("error %v, want %v", got, want)
		}
	}
	if entries, _ := os.ReadDir(folder); len(entries) > 0 {
		t.Errorf("reports of nothing: %v", entries)
	}
}

// Where the folder cannot be made the report goes to the temporary folder, and where
// that fails too the error is given all the same.
func TestReportWithoutItsFolder(t *testing.T) {
	file := filepath.Join(t.TempDir(), "file")
	if err := os.WriteFile(file, nil, 0o600); err != nil {
		t.Fatal(err)
	}
	breaks := func() error { panic("x") }
	t.Setenv("TMPDIR", t.TempDir())
	var f *fault.Error
	if err := (fault.Desk{Folder: filepath.Join(file, "reports")}).Catch("x", breaks); !errors.As(err, &f) || !strings.HasPrefix(f.Report, os.TempDir()) {
		t.Errorf("error %v", err)
	}
	t.Setenv("TMPDIR", filepath.Join(file, "tmp"))
	if err := (fault.Desk{Folder: file}).Catch("x", breaks); !errors.As(err, &f) || f.Report != "" || !strings.Contains(err.Error(), "no report") {
		t.Errorf("error %v", err)
	}
}

func TestOldReportsGo(t *testing.T) {
	folder := t.TempDir()
	for i := range 30 {
		name := filepath.Join(folder, fmt.Sprintf("fault-20200101-0000%02d.000-1.txt", i))
		if err := os.WriteFile(name, nil, 0o600); err != nil {
			t.Fatal(err)
		}
	}
	other := filepath.Join(folder, "letter.txt")
	if err := os.WriteFile(other, nil, 0o600); err != nil {
		t.Fatal(err)
	}
	var f *fault.Error
	if err := (fault.Desk{Folder: folder}).Catch("x", func() error { panic("x") }); !errors.As(err, &f) {
		t.Fatal(err)
	}
	entries, err := os.ReadDir(folder)
	if err != nil {
		t.Fatal(err)
	}
	if len(entries) != 21 {
		t.Errorf("%d files, want 20 reports and the letter", len(entries))
	}
	for _, path := range []string{f.Report, other} {
		if _, err := os.Stat(path); err != nil {
			t.Error(err)
		}
	}
}

// Tasks that fail at the same moment have a report each, in the folder for them.
func TestReportsOfOneMoment(t *testing.T) {
	desk := fault.Desk{Folder: t.TempDir()}
	var all sync.WaitGroup
	for range 16 {
		all.Go(func() {
			var f *fault.Error
			if err := desk.Catch("x", func() error { panic("x") }); !errors.As(err, &f) || filepath.Dir(f.Report) != desk.Folder {
				t.Errorf("error %v", err)
			}
		})
	}
	all.Wait()
	if entries, err := os.ReadDir(desk.Folder); err != nil || len(entries) != 16 {
		t.Errorf("%d reports (%v), want 16", len(entries), err)
	}
}
