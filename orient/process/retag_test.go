package process

import "testing"

// saved saves m and gives back what the shelf then holds.
func saved(t *testing.T, s *Shelf[Material], m Material) Material {
	t.Helper()
	if err := s.Save(m); err != nil {
		t.Fatal(err)
	}
	got, err := s.Get(m.ID)
	if err != nil {
		t.Fatal(err)
	}
	return got
}

// A figure that the shop changes no longer claims the old source; put back, it
// has it again; a source that the caller gives is kept.
func TestChangedFiguresLoseTheirSource(t *testing.T) {
	lib, _ := openUser(t)
	shelf := lib.Materials
	m := steel(t)
	original, _ := sourceOf(m.Sources, "shrinkage")

	m.Shrinkage[0] = 0.17
	m = saved(t, shelf, m)
	if got, _ := sourceOf(m.Sources, "shrinkage"); got != shopSource("shrinkage") {
		t.Errorf("changed: source %+v", got)
	}
	if got, _ := sourceOf(m.Sources, "overhang_limit_deg"); got.Tag != Common {
		t.Errorf("unchanged: source %+v", got)
	}

	measured := Source{Item: "shrinkage", Tag: Shop, Text: "cube 4, calliper"}
	m.Shrinkage[0] = 0.171
	m.Sources = replaceSource(m.Sources, measured)
	m = saved(t, shelf, m)
	if got, _ := sourceOf(m.Sources, "shrinkage"); got != measured {
		t.Errorf("given by the caller: source %+v", got)
	}

	m.Shrinkage[0] = 0.172
	m = saved(t, shelf, m)
	if got, _ := sourceOf(m.Sources, "shrinkage"); got != shopSource("shrinkage") {
		t.Errorf("changed after a measured one: source %+v", got)
	}

	m.Shrinkage[0] = 0.16
	m = saved(t, shelf, m)
	if got, _ := sourceOf(m.Sources, "shrinkage"); got != original {
		t.Errorf("put back: source %+v", got)
	}
}

func TestChangedSettingsLoseTheirTag(t *testing.T) {
	lib, _ := openUser(t)
	m := steel(t)
	m.Settings[2].Value = "242 °C"
	m = saved(t, lib.Materials, m)
	if m.Settings[2].Tag != Shop || m.Settings[1].Tag != Common {
		t.Errorf("tags %q and %q, want S and C", m.Settings[2].Tag, m.Settings[1].Tag)
	}
}
