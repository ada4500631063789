package book

import (
	"context"
	"errors"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
	"gonum.org/v1/gonum/spatial/r3"

	"kilnpoise/orient/furnace"
	"kilnpoise/orient/process"
)

// lid is a firing with something in every field.
func lid() Firing {
	return Firing{
		Date: time.Date(2026, 3, 2, 0, 0, 0, 0, time.UTC), Material: "316l", Furnace: "setter-100x100", Run: "2026-014", Part: "pump lid",
		PartSHA256: strings.Repeat("0a", 32), Job: "jobs/lid", Peak: "1 385 C, 2 h, from the log", Remarks: "left corner lifted\nsecond row",
		GreenMassG: 41.2, SinteredMassG: 36, GreenVolumeMM3: 8240, SinteredVolumeMM3: 4700,
		Sags: []Sag{{Hold: furnace.Cantilever, SpanMM: 15, ThicknessMM: 3, SagMM: 0.71}, {Hold: furnace.BuiltIn, SpanMM: 30, ThicknessMM: 2, SagMM: 0}},
		Readings: []Reading{
			{Name: "width", PartDirection: r3.Vec{X: 1}, PrintDirection: r3.Vec{Y: 1}, GreenNominalMM: 47.62, GreenMM: 47.6, SinteredNominalMM: 40,
				SinteredMM: 39.94, Instrument: "calliper 3", ErrorMM: 0.02, GreenErrorMM: 0.04},
			{Name: "bore to bore", PrintDirection: r3.Unit(r3.Vec{X: 1, Z: 1}), Across: process.Points, GreenMM: 30, SinteredMM: 24.6, ErrorMM: 0.03, LeftOut: true},
			{Name: "height, not out yet", PrintDirection: r3.Vec{Z: 1}, GreenMM: 25},
		},
	}
}

func opened(t testing.TB, path string) *Book {
	t.Helper()
	b, err := Open(context.Background(), path)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { b.Close() })
	return b
}

func added(t testing.TB, b *Book, f Firing) Firing {
	t.Helper()
	f, err := b.Add(context.Background(), f)
	if err != nil {
		t.Fatal(err)
	}
	return f
}

// What goes in comes out, from this opening and the next.
func TestAddAndGet(t *testing.T) {
	ctx := context.Background()
	path := filepath.Join(t.TempDir(), "new folder", "what? 100 % #1", "firings.db")
	b := opened(t, path)
	want := lid()
	want.Date = want.Date.Add(15 * time.Hour) // the time of day is dropped
	kept := added(t, b, want)
	want.ID, want.Key, want.Revision, want.Date = 1, kept.Key, 1, lid().Date
	if kept.Key == "" {
		t.Error("no key was made")
	}
	if diff := cmp.Diff(want, kept); diff != "" {
		t.Errorf("as given back: %s", diff)
	}
	if err := b.Close(); err != nil {
		t.Fatal(err)
	}
	got, err := opened(t, path).Get(ctx, kept.ID)
	if err != nil {
		t.Fatal(err)
	}
	if diff := cmp.Diff(want, got); diff != "" {
		t.Errorf("read back: %s", diff)
	}
	entries, err := os.ReadDir(filepath.Dir(path))
	if err != nil || len(entries) != 1 {
		t.Errorf("the folder holds %v, %v; want the book alone", entries, err)
	}
}

func TestListAndPairs(t *testing.T) {
	ctx := context.Background()
	b := opened(t, filepath.Join(t.TempDir(), "b.db"))
	for _, f := range []struct {
		material, furnace string
		day               int
	}{{"316l", "small", 9}, {"316l", "large", 3}, {"316l-fine", "small", 5}, {"316l", "small", 2}} {
		one := lid()
		one.Key, one.Material, one.Furnace, one.Date = "", f.material, f.furnace, time.Date(2026, 3, f.day, 0, 0, 0, 0, time.UTC)
		added(t, b, one)
	}
	for _, tt := range []struct {
		filter Filter
		want   []int64
	}{
		{Filter{}, []int64{4, 2, 3, 1}},
		{Filter{Material: "316l"}, []int64{4, 2, 1}},
		{Filter{Material: "316l", Furnace: "small"}, []int64{4, 1}},
		{Filter{Furnace: "large"}, []int64{2}},
		{Filter{Material: "bronze"}, nil},
	} {
		got, err := b.List(ctx, tt.filter)
		if err != nil {
			t.Fatal(err)
		}
		var ids []int64
		for _, f := range got {
			ids = append(ids, f.ID)
			if len(f.Readings) != 3 || len(f.Sags) != 2 {
				t.Errorf("firing %d has %d readings, %d sags", f.ID, len(f.Readings), len(f.Sags))
			}
		}
		if diff := cmp.Diff(tt.want, ids); diff != "" {
			t.Errorf("%+v: %s", tt.filter, diff)
		}
	}
	pairs, err := b.Pairs(ctx)
	if err != nil {
		t.Fatal(err)
	}
	if diff := cmp.Diff([]Pair{{"316l", "large", 1}, {"316l", "small", 2}, {"316l-fine", "small", 1}}, pairs); diff != "" {
		t.Error(diff)
	}
}

// A change gives what was, can be taken back, and gives way to one made meanwhile.
func TestChange(t *testing.T) {
	ctx := context.Background()
	path := filepath.Join(t.TempDir(), "b.db")
	b, other := opened(t, path), opened(t, path)
	first := added(t, b, lid())
	stale, err := other.Get(ctx, first.ID)
	if err != nil {
		t.Fatal(err)
	}
	next := first
	next.Remarks, next.Readings = "a new one", first.Readings[:1]
	next.Key = "may not change"
	was, now, err := b.Change(ctx, next)
	if err != nil {
		t.Fatal(err)
	}
	if diff := cmp.Diff(first, was); diff != "" {
		t.Errorf("as it was: %s", diff)
	}
	if now.Revision != 2 || now.Key != first.Key {
		t.Errorf("now %+v", now)
	}
	if got, _ := other.Get(ctx, first.ID); !cmp.Equal(got, now) {
		t.Errorf("the other sees %s", cmp.Diff(now, got))
	}
	stale.Remarks = "too late"
	if _, _, err := other.Change(ctx, stale); !errors.Is(err, ErrChanged) {
		t.Errorf("a stale change gives %v", err)
	}
	was.Revision = now.Revision
	if _, back, err := b.Change(ctx, was); err != nil || !cmp.Equal(back.Readings, first.Readings) || back.Revision != 3 {
		t.Errorf("taken back: %+v, %v", back, err)
	}
	if _, _, err := b.Change(ctx, Firing{ID: 77, Date: first.Date, Material: "316l"}); !errors.Is(err, ErrMissing) || err.Error() != "firing 77 is not in the firing book" {
		t.Errorf("a change of nothing gives %v", err)
	}
}

// What was removed is given, and can be put back under its number.
func TestRemoveAndRestore(t *testing.T) {
	ctx := context.Background()
	b := opened(t, filepath.Join(t.TempDir(), "b.db"))
	first := added(t, b, lid())
	gone, err := b.Remove(ctx, first.ID)
	if err != nil || !cmp.Equal(gone, first) {
		t.Fatalf("removed %v: %s", err, cmp.Diff(first, gone))
	}
	if _, err := b.Get(ctx, first.ID); !errors.Is(err, ErrMissing) {
		t.Errorf("Get of what was removed: %v", err)
	}
	if _, err := b.Remove(ctx, first.ID); !errors.Is(err, ErrMissing) {
		t.Errorf("removed twice: %v", err)
	}
	if second := added(t, b, lid()); second.ID == first.ID {
		t.Errorf("the number %d is used again", second.ID)
	}
	back, err := b.Restore(ctx, gone)
	if err != nil || back.ID != first.ID || back.Key != first.Key {
		t.Errorf("restored %+v, %v", back, err)
	}
	if got, _ := b.Get(ctx, first.ID); !cmp.Equal(got, back) {
		t.Errorf("read back: %s", cmp.Diff(back, got))
	}
	var known *KnownError
	if _, err := b.Restore(ctx, gone); !errors.As(err, &known) || known.ID != first.ID {
		t.Errorf("restored twice: %v", err)
	}
	if _, err := b.Add(ctx, gone); err == nil {
		t.Error("a firing with a number is added")
	}
}

func TestAddAllIsAllOrNone(t *testing.T) {
	ctx := context.Background()
	b := opened(t, filepath.Join(t.TempDir(), "b.db"))
	twice := lid()
	twice.Key = "the same"
	if _, err := b.AddAll(ctx, []Firing{lid(), twice, twice}); !errors.As(err, new(*KnownError)) {
		t.Errorf("two of one key: %v", err)
	}
	bad := lid()
	bad.Material = ""
	if _, err := b.AddAll(ctx, []Firing{lid(), bad}); err == nil {
		t.Error("a bad firing is added")
	}
	if got, err := b.List(ctx, Filter{}); err != nil || len(got) != 0 {
		t.Errorf("the book holds %d firings, %v", len(got), err)
	}
}

// Stamp tells of changes by this program and by others, and of nothing else.
func TestStamp(t *testing.T) {
	ctx := context.Background()
	path := filepath.Join(t.TempDir(), "b.db")
	b, other := opened(t, path), opened(t, path)
	var last int64
	stamp := func(what string, changed bool) {
		t.Helper()
		now, err := b.Stamp(ctx)
		if err != nil {
			t.Fatal(err)
		}
		if (now != last) != changed {
			t.Errorf("%s: the stamp goes from %d to %d", what, last, now)
		}
		last = now
	}
	last, _ = b.Stamp(ctx)
	stamp("nothing", false)
	if _, err := b.List(ctx, Filter{}); err != nil {
		t.Fatal(err)
	}
	stamp("a look", false)
	f := added(t, b, lid())
	stamp("an addition", true)
	added(t, other, lid())
	stamp("another's addition", true)
	if _, err := other.Remove(ctx, f.ID); err != nil {
		t.Fatal(err)
	}
	stamp("another's removal", true)
}

func TestUserFile(t *testing.T) {
	dir := t.TempDir()
	t.Setenv("XDG_CONFIG_HOME", dir)
	t.Setenv("AppData", dir)
	t.Setenv("HOME", dir)
	path, err := UserFile()
	if err != nil || !strings.HasPrefix(path, dir) || filepath.Base(filepath.Dir(path)) != "kilnpoise" {
		t.Errorf("%s, %v", path, err)
	}
}
