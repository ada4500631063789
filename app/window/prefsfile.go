package window

import (
	"encoding/json"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"runtime"
	"strings"
	"time"
)

// toolkitPrefsPath is where earlier versions kept preferences on this system, in the
// file of the toolkit; "" where that is not known.
func toolkitPrefsPath() string {
	base, err := os.UserConfigDir()
	if runtime.GOOS == "darwin" {
		var home string
		home, err = os.UserHomeDir()
		base = filepath.Join(home, "Library", "Preferences")
	}
	if err != nil {
		return ""
	}
	return filepath.Join(base, "fyne", appID, "preferences.json")
}

// largestPrefs is far above what the preferences need.
const largestPrefs = 1 << 20

// checkPrefs sets preferences aside that cannot be read, and says so. usable is false where they are still in the way.
func checkPrefs(path string) (note string, usable bool) {
	fault := prefsFault(path)
	if fault == nil {
		return "", true
	}
	aside := strings.TrimSuffix(path, ".json") + time.Now().Format("-set-aside-20060102-150405.json")
	if err := os.Rename(path, aside); err != nil {
		return fmt.Sprintf("The preferences in %s cannot be used (%v), nor be set aside; this time nothing is remembered there. Move it away.", path, fault), false
	}
	return fmt.Sprintf("The preferences could not be used (%v), and were set aside in %s; the usual ones take their place.", fault, aside), true
}

// prefsFault says why preferences cannot be used; nil where they can, or where there
// are none.
func prefsFault(path string) error {
	info, err := os.Stat(path)
	switch {
	case path == "" || errors.Is(err, fs.ErrNotExist):
		return nil
	case err != nil:
		return withoutPath(err)
	case !info.Mode().IsRegular():
		return errors.New("they are not a file")
	case info.Size() > largestPrefs:
		return fmt.Errorf("they have %d MB", info.Size()>>20)
	}
	data, err := os.ReadFile(path)
	if err != nil {
		return withoutPath(err)
	}
	var values map[string]any
	if err := json.Unmarshal(data, &values); err != nil || values == nil {
		return errors.New("they are damaged")
	}
	for key, v := range values {
		if !fitsPref(key, v) {
			return fmt.Errorf("%.40q is not what it should be", key)
		}
	}
	return nil
}

// fitsPref reports whether a value is of the kind that belongs to its key.
func fitsPref(key string, v any) bool {
	switch {
	case key == prefRecent:
		list, isList := v.([]any)
		for _, item := range list {
			_, text := item.(string)
			isList = isList && text
		}
		return isList || v == nil
	case key == prefPaper:
		_, ok := v.(bool)
		return ok
	case key == prefWidth, key == prefHeight, strings.HasPrefix(key, prefWeight):
		_, ok := v.(float64)
		return ok
	case key == prefMode, key == prefMaterial, key == prefPrinter, key == prefFurnace, key == prefFolder:
		_, ok := v.(string)
		return ok
	}
	return true
}

// withoutPath takes the path out of an error of the system, where the message names it
// already.
func withoutPath(err error) error {
	var at *fs.PathError
	if errors.As(err, &at) {
		return at.Err
	}
	return err
}
