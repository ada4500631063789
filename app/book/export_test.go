package book

import (
	"bytes"
	"context"
	"encoding/csv"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"
	"gonum.org/v1/gonum/spatial/r3"
	"pgregory.net/rapid"

	"kilnpoise/orient/furnace"
	"kilnpoise/orient/process"
)

func exported(t testing.TB, firings ...Firing) string {
	t.Helper()
	var out bytes.Buffer
	if err := Export(&out, firings); err != nil {
		t.Fatal(err)
	}
	return out.String()
}

// The table has one line for each reading and sag, names its columns with their
// units, and ends its lines as RFC 4180 has it.
func TestExportIsATable(t *testing.T) {
	f := lid()
	f.Key = "k1"
	bare := Firing{Key: "k2", Date: f.Date, Material: "316l"}
	text := exported(t, f, bare)
	if strings.Count(text, "\r\n") != strings.Count(text, "\n") {
		t.Error("a line ends without CR LF")
	}
	records, err := csv.NewReader(strings.NewReader(text)).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	at := map[string]int{}
	for i, name := range records[0] {
		at[name] = i
	}
	for _, name := range []string{"date", "green_mass_g", "green_volume_mm3", "print_z", "sintered_mm", "uncertainty_mm", "sag_span_mm"} {
		if _, ok := at[name]; !ok {
			t.Errorf("no column %s in %v", name, records[0])
		}
	}
	want := []struct{ line, firing, name, sintered, sag, shrinkage string }{
		{"reading", "k1", "width", "39.94", "", "0.16092"}, {"reading", "k1", "bore to bore", "24.6", "", "0.18000"},
		{"reading", "k1", "height, not out yet", "", "", ""}, {"sag", "k1", "", "", "0.71", ""}, {"sag", "k1", "", "", "", ""},
		{"firing", "k2", "", "", "", ""},
	}
	if len(records) != len(want)+1 {
		t.Fatalf("%d lines:\n%s", len(records), text)
	}
	for i, w := range want {
		r := records[i+1]
		got := w
		got.line, got.firing, got.name, got.sintered, got.sag, got.shrinkage =
			r[at["line"]], r[at["firing"]], r[at["name"]], r[at["sintered_mm"]], r[at["sag_mm"]], r[at["shrinkage_fraction"]]
		if got != w {
			t.Errorf("line %d: %+v, want %+v", i+2, got, w)
		}
	}
}

// No text cell begins as a formula, however it is dressed, and all come back as
// they were.
func TestGuard(t *testing.T) {
	for _, s := range []string{"=1+1", "+49", "-x", "@sum", "  =1", "\t=1", "\n=1", "'=1", "''=1", "'' =1", "＝1", "\u00a0@x", "\ufeff=2"} {
		if g := guard(s); !strings.HasPrefix(g, "'") || unguard(g) != s {
			t.Errorf("%q becomes %q and then %q", s, g, unguard(g))
		}
	}
	for _, s := range []string{"", "width", "'s width", "''", "1-2", "a=b", "'"} {
		if g := guard(s); g != s || unguard(s) != s {
			t.Errorf("%q becomes %q; unguarded %q", s, g, unguard(s))
		}
	}
	rapid.Check(t, func(t *rapid.T) {
		s := rapid.StringOfN(rapid.SampledFrom([]rune("'=+-@ \t\nab＝")), 0, 8, -1).Draw(t, "s")
		g := guard(s)
		if unguard(g) != s {
			t.Fatalf("%q becomes %q and then %q", s, g, unguard(g))
		}
		if strings.ContainsAny(g[:min(1, len(g))], "=+-@\t") && runs(s) {
			t.Fatalf("%q is not guarded", g)
		}
	})
	long := strings.Repeat("'", 1_000_000) + "=" // no deep recursion
	if unguard(guard(long)) != long {
		t.Error("a long one is lost")
	}
}

// anyFiring draws what the book could hold.
func anyFiring(t *rapid.T) Firing {
	word := rapid.StringOfN(rapid.SampledFrom([]rune("ab ,;\"'=+-@\n\r\tµ1.")), 0, 12, -1)
	mm := rapid.Float64Range(0, longestMM)
	vec := func(name string) r3.Vec {
		c := rapid.Float64Range(-1, 1)
		return r3.Vec{X: c.Draw(t, name), Y: c.Draw(t, name), Z: 1}
	}
	f := Firing{
		Date: time.Date(2000+rapid.IntRange(0, 99).Draw(t, "year"), 2, 28, 0, 0, 0, 0, time.UTC), Key: "k" + word.Draw(t, "key"), Material: "m" + word.Draw(t, "material"),
		Furnace: word.Draw(t, "furnace"), Run: word.Draw(t, "run"), Part: word.Draw(t, "part"), Job: word.Draw(t, "job"), Peak: word.Draw(t, "peak"), Remarks: word.Draw(t, "remarks"),
		GreenMassG: mm.Draw(t, "mass"), SinteredVolumeMM3: mm.Draw(t, "volume"),
	}
	for range rapid.IntRange(0, 3).Draw(t, "readings") {
		green := rapid.Float64Range(0.001, longestMM).Draw(t, "green")
		f.Readings = append(f.Readings, Reading{
			Name: word.Draw(t, "name"), PartDirection: vec("part"), PrintDirection: vec("print"), Across: process.Across(rapid.IntRange(0, 1).Draw(t, "across")),
			GreenMM: green, SinteredMM: green * rapid.Float64Range(0.51, 1.04).Draw(t, "ratio"), SinteredNominalMM: mm.Draw(t, "nominal"),
			Instrument: word.Draw(t, "instrument"), ErrorMM: 0.02, LeftOut: rapid.Bool().Draw(t, "left out"),
		})
	}
	for range rapid.IntRange(0, 2).Draw(t, "sags") {
		f.Sags = append(f.Sags, Sag{Hold: furnace.Hold(rapid.IntRange(0, 2).Draw(t, "hold")), SpanMM: 1 + mm.Draw(t, "span")/2, ThicknessMM: 3, SagMM: mm.Draw(t, "sag")})
	}
	return f
}

// A table read back is what was written, to the last digit and letter.
func TestTableReadsBack(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		want, err := anyFiring(t).tidy()
		if err != nil {
			t.Skip(err)
		}
		var out bytes.Buffer
		if err := Export(&out, []Firing{want}); err != nil {
			t.Fatal(err)
		}
		got, err := ReadTable(&out)
		if err != nil {
			t.Fatal(err)
		}
		if diff := cmp.Diff([]Firing{want}, got, cmpopts.EquateEmpty(), cmpopts.IgnoreFields(Firing{}, "ID", "Revision")); diff != "" {
			t.Fatal(diff)
		}
	})
}

// A whole book goes over into another, and once is enough.
func TestImport(t *testing.T) {
	ctx := context.Background()
	b := opened(t, filepath.Join(t.TempDir(), "a.db"))
	for range 3 {
		added(t, b, lid())
	}
	all, err := b.List(ctx, Filter{})
	if err != nil {
		t.Fatal(err)
	}
	table := exported(t, all...)
	other := opened(t, filepath.Join(t.TempDir(), "b.db"))
	for round, want := range []int{3, 0} {
		got, known, err := other.Import(ctx, strings.NewReader(table))
		if err != nil || len(got) != want || len(known) != 3-want {
			t.Errorf("round %d: %d added, %d known, %v", round, len(got), len(known), err)
		}
	}
	got, err := other.List(ctx, Filter{})
	if err != nil {
		t.Fatal(err)
	}
	if diff := cmp.Diff(all, got); diff != "" {
		t.Error(diff)
	}
}
