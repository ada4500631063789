package job_test

import (
	"flag"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"

	"kilnpoise/app/job"
	"kilnpoise/orient"
	"kilnpoise/orient/mark"
)

var updateDraft = flag.Bool("update-draft", false, "make the file of format 0 in testdata anew")

// draft is a job.json of format 0: priorities in their order, one place per face, no
// build item.
const draft = `{
 "format": 0, "program": "0.9", "saved": "2026-01-05T10:00:00Z",
 "part": {"sha256": "SUM", "size": SIZE, "unit": "cm"},
 "records": {"material": "316l", "printer": "plate-250x210", "furnace": "setter-200x160"},
 "brief": {"priorities": [5, 4, 3, 2, 1, 0], "directions": [[0, 0, -1]], "seed": 18446744073709551615},
 "marks": {"faces": [{"kind": "keep_clean", "name": "seat", "at": [10, 15, 40], "within_deg": 20}], "loads": [{"along": [1, 0, 0]}]},
 "choice": {"up": [0, 0, -1], "name": "upside down"},
 "sheet": {"letter": true}
}
`

// draftFile gives the job file of format 0 that is kept in testdata.
func draftFile(t *testing.T) []byte {
	t.Helper()
	path := filepath.Join("testdata", "format-0.kilnpoise")
	if *updateDraft {
		list := items(t, written(t, sample(t)))
		part := sample(t).Part.Content
		text := strings.NewReplacer("SUM", part.SHA256(), "SIZE", "684").Replace(draft)
		list = append([]item{{"mimetype", "application/x-kilnpoise-job"}, {"job.json", text}}, without(without(list, "mimetype"), "job.json")...)
		if err := os.MkdirAll("testdata", 0o777); err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(path, zipped(t, list), 0o666); err != nil {
			t.Fatal(err)
		}
	}
	data, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	return data
}

func TestOlderFormatIsBroughtUpToDate(t *testing.T) {
	j, notes, err := read(draftFile(t))
	if err != nil || len(notes) > 0 {
		t.Fatal(notes, err)
	}
	face := mark.KeptFace{Kind: mark.KeepClean, Name: "seat", Seeds: []mark.Seed{{At: r3.Vec{X: 10, Y: 15, Z: 40}, WithinDeg: 20}}}
	if got := j.Brief.Marks.Faces; len(got) != 1 || len(got[0].Seeds) != 1 || got[0].Seeds[0] != face.Seeds[0] || got[0].Kind != face.Kind || got[0].Name != face.Name {
		t.Errorf("the face is %v, want %v", got, face)
	}
	if want := (orient.Priorities{5, 4, 3, 2, 1, 0}); j.Brief.Priorities != want {
		t.Errorf("the priorities are %v, want %v", j.Brief.Priorities, want)
	}
	if j.Part.Item != job.AllItems || j.Brief.Seed != 1<<64-1 || j.Part.Unit != "cm" || !j.Sheet.Letter || j.Choice.Name != "upside down" {
		t.Errorf("the rest is %+v, %+v, seed %d", j.Part, j.Choice, j.Brief.Seed)
	}
	// Saved again it is of this format, and the same.
	again, _, err := read(written(t, j))
	if err != nil {
		t.Fatal(err)
	}
	if diff := difference(j, again); diff != "" {
		t.Error(diff)
	}
}

// Format 1 told a diameter from a distance by the number of its places.
func TestFirstFormatTellsItsDimensions(t *testing.T) {
	list := items(t, draftFile(t))
	dimensions := `"marks": {"dimensions": [{"name": "bore", "seeds": [{"at": [1, 2, 3], "within_deg": 30}], "tolerance_mm": 0.1},
	  {"seeds": [{"at": [1, 2, 3], "within_deg": 1}, {"at": [4, 5, 6], "within_deg": 1}]}], `
	list = replaced(t, list, "job.json", `"marks": {`, dimensions)
	j, _, err := read(zipped(t, list))
	if err != nil {
		t.Fatal(err)
	}
	got := j.Brief.Marks.Dimensions
	if len(got) != 2 || got[0].What != mark.Diameter || got[0].ToleranceMM != 0.1 || got[1].What != mark.Distance || len(got[1].Seeds) != 2 {
		t.Errorf("the dimensions are %+v", got)
	}
}

func TestOlderFormatWithFaultsIsRefused(t *testing.T) {
	list := items(t, draftFile(t))
	for name, c := range map[string][2]string{
		"too many priorities": {"5, 4, 3", "5, 4, 3, 3, 3, 3"},
		"a face of text":      {`"faces": [{`, `"faces": ["seat", {`},
		"no place":            {`"at"`, `"by"`},
		"a priority of text":  {"[5, 4", `["5", 4`},
	} {
		t.Run(name, func(t *testing.T) {
			_, _, err := read(zipped(t, replaced(t, list, "job.json", c[0], c[1])))
			if err == nil || !strings.Contains(err.Error(), "; take an earlier copy") {
				t.Errorf("it says %v", err)
			}
		})
	}
}
