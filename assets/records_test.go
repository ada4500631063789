package assets

import (
	"io/fs"
	"testing"
)

func TestDefaultRecordsExist(t *testing.T) {
	for _, file := range []string{
		"material/" + DefaultMaterial + ".toml",
		"printer/" + DefaultPrinter + ".toml",
		"furnace/" + DefaultFurnace + ".toml",
	} {
		if _, err := fs.Stat(Records(), file); err != nil {
			t.Error(err)
		}
	}
}
