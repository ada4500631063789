package window

import (
	"encoding/json"
	"fmt"
	"io"
	"maps"
	"os"
	"path/filepath"
	"slices"

	"kilnpoise/mesh"
)

// prefStore holds what is kept between sittings, by name. It is in memory: what is
// changed waits to be written until somebody takes it. It is used on the UI goroutine
// only.
type prefStore struct {
	values map[string]any
	// changed is what is not yet on its way to the disk.
	changed map[string]any
	// onChange is told of changes.
	onChange func()
}

func newPrefStore(values map[string]any) *prefStore {
	if values == nil {
		values = map[string]any{}
	}
	return &prefStore{values: values, changed: map[string]any{}, onChange: func() {}}
}

// set keeps a value: a bool, a float64, a string or a list of strings.
func (s *prefStore) set(key string, v any) {
	if old, ok := s.values[key]; ok && samePref(old, v) {
		return
	}
	s.values[key], s.changed[key] = v, v
	s.onChange()
}

func samePref(a, b any) bool {
	x, listA := a.([]string)
	y, listB := b.([]string)
	if listA || listB {
		return listA && listB && slices.Equal(x, y)
	}
	return a == b
}

// pref gives a value of that kind, or the fallback.
func pref[T any](s *prefStore, key string, fallback T) T {
	if v, ok := s.values[key].(T); ok {
		return v
	}
	return fallback
}

// takeChanged gives what is to be written.
func (s *prefStore) takeChanged() map[string]any {
	out := s.changed
	s.changed = map[string]any{}
	return out
}

// readPrefs reads the values of a file that checkPrefs found sound; none where there
// is no file.
func readPrefs(path string) map[string]any {
	values := map[string]any{}
	data, err := os.ReadFile(path)
	if err != nil || json.Unmarshal(data, &values) != nil || values == nil {
		return map[string]any{}
	}
	for key, v := range values {
		if list, ok := v.([]any); ok {
			texts := []string{}
			for _, item := range list {
				if text, ok := item.(string); ok {
					texts = append(texts, text)
				}
			}
			values[key] = texts
		}
	}
	return values
}

// writePrefs puts changes into the file, whole or not at all: another window may have
// written other values since. It is worker's work.
func writePrefs(path string, changed map[string]any) error {
	if err := os.MkdirAll(filepath.Dir(path), 0o700); err != nil {
		return fmt.Errorf("the folder for preferences cannot be made: %w", err)
	}
	values := map[string]any{}
	if prefsFault(path) == nil {
		values = readPrefs(path)
	}
	maps.Copy(values, changed)
	return mesh.WriteFileWhole(path, func(w io.Writer) error {
		e := json.NewEncoder(w)
		e.SetIndent("", "  ")
		return e.Encode(values)
	})
}
