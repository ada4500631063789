package assets

import (
	"io/fs"
	"regexp"
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

// What a record says of its sources is read behind the word for its tag, by people who
// know nothing of its keys.
func TestSourcesAreReadAsSentences(t *testing.T) {
	files, err := fs.Glob(Records(), "*/*.toml")
	if err != nil || len(files) < 9 {
		t.Fatalf("%d records, %v", len(files), err)
	}
	odd := regexp.MustCompile(`(?m)^text = "(From memory|Judgement|Common practice|Published|Handbook|Derived).*|^text = .*\b[a-z]+_[a-z_]+\b.*`)
	for _, file := range files {
		data, err := fs.ReadFile(Records(), file)
		if err != nil {
			t.Fatal(err)
		}
		for _, line := range odd.FindAll(data, -1) {
			t.Errorf("%s: %s", file, line)
		}
	}
}
