package job

import (
	"os"
	"path/filepath"
	"runtime"
)

// StateFolder gives the folder for autosaves, which need not exist: kilnpoise/sittings
// in XDG_STATE_HOME, by default ~/.local/state (XDG Base Directory Specification 0.8);
// on macOS in Application Support, since the system empties caches as it likes; on
// Windows in the local application data.
func StateFolder() (string, error) {
	base, err := stateHome()
	if err != nil {
		return "", err
	}
	return filepath.Join(base, "kilnpoise", "sittings"), nil
}

func stateHome() (string, error) {
	switch runtime.GOOS {
	case "windows":
		return os.UserCacheDir()
	case "darwin", "ios":
		return os.UserConfigDir()
	}
	if dir := os.Getenv("XDG_STATE_HOME"); filepath.IsAbs(dir) { // the specification: ignore others
		return dir, nil
	}
	if home, err := os.UserHomeDir(); err == nil {
		return filepath.Join(home, ".local", "state"), nil
	}
	return os.UserCacheDir()
}
