package fault

import (
	"path/filepath"

	"kilnpoise/app/job"
)

// Folder gives the folder for reports beside that of the autosaves; "" where the user
// has none.
func Folder() string {
	sittings, err := job.StateFolder()
	if err != nil {
		return ""
	}
	return filepath.Join(filepath.Dir(sittings), "reports")
}
