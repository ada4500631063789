package command

import (
	"bytes"
	"context"
	"encoding/json"
	"io"
	"slices"
	"strings"
	"testing"

	"kilnpoise/app/fault"
	"kilnpoise/assets"
	"kilnpoise/mesh"
	"kilnpoise/mesh/meshtest"
)

// advised advises a part and gives the file and the facets that the advice tells of.
func advised(t *testing.T, part string) (file string, facets int) {
	t.Helper()
	var out bytes.Buffer
	args := []string{"advise", part, "--json", "--no-files", "--no-search", "--no-furnace"}
	if code := run(context.Background(), fault.Desk{Folder: t.TempDir()}, args, &out, io.Discard); code != exitDone {
		t.Fatalf("%s: exit code %d", part, code)
	}
	var advice struct {
		Part struct {
			File   string
			Facets int
		}
	}
	if err := json.Unmarshal(out.Bytes(), &advice); err != nil {
		t.Fatal(err)
	}
	return advice.Part.File, advice.Part.Facets
}

// Every built-in part is reached by its name; a file of that name goes before it.
func TestBuiltInPartsByName(t *testing.T) {
	t.Setenv("XDG_CONFIG_HOME", t.TempDir())
	t.Chdir(t.TempDir())
	for _, d := range assets.DemoParts() {
		if got, _ := advised(t, d.ID); got != d.File {
			t.Errorf("%s: the advice is for %q", d.ID, got)
		}
		if !strings.Contains(Root().Long, d.ID) {
			t.Errorf("the help does not name %s", d.ID)
		}
	}
	id, block := assets.CouponID, meshtest.Block(10, 8, 6)
	if err := mesh.WriteFileWhole(id, func(w io.Writer) error { return mesh.WriteSTL(w, block, "a block") }); err != nil {
		t.Fatal(err)
	}
	if _, facets := advised(t, id); facets != len(block.Facets) {
		t.Errorf("the file of a built-in part's name was passed over: %d facets, want %d", facets, len(block.Facets))
	}
}

func TestCompletionOfParts(t *testing.T) {
	tests := []struct {
		begun string
		want  []string
	}{
		{"", []string{"stl", "3mf", "obj", "kilnpoise"}},
		{"creep", []string{"creep-coupon\tCreep coupon"}},
		{"my-part", []string{"stl", "3mf", "obj", "kilnpoise"}},
	}
	for _, tt := range tests {
		if got, _ := completePart(nil, nil, tt.begun); !slices.Equal(got, tt.want) {
			t.Errorf("%q: %q, want %q", tt.begun, got, tt.want)
		}
	}
	if got, _ := completePart(nil, []string{"a.stl"}, ""); len(got) > 0 {
		t.Errorf("a second part is completed: %q", got)
	}
}
