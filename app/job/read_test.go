package job_test

import (
	"archive/zip"
	"bytes"
	"compress/flate"
	"context"
	"encoding/binary"
	"errors"
	"fmt"
	"hash/crc32"
	"io"
	"os"
	"path/filepath"
	"runtime"
	"slices"
	"strings"
	"testing"

	"kilnpoise/app/job"
)

// item is an entry of a package in the hands of a test.
type item struct {
	name string
	data string
}

// items unzips a job file.
func items(t testing.TB, data []byte) []item {
	t.Helper()
	z, err := zip.NewReader(bytes.NewReader(data), int64(len(data)))
	if err != nil {
		t.Fatal(err)
	}
	var out []item
	for _, f := range z.File {
		r, err := f.Open()
		if err != nil {
			t.Fatal(err)
		}
		content, err := io.ReadAll(r)
		if err != nil {
			t.Fatal(err)
		}
		out = append(out, item{f.Name, string(content)})
	}
	return out
}

// zipped makes a package the way other programs do.
func zipped(t testing.TB, list []item) []byte {
	t.Helper()
	var b bytes.Buffer
	z := zip.NewWriter(&b)
	for _, i := range list {
		w, err := z.Create(i.name)
		if err != nil {
			t.Fatal(err)
		}
		if _, err := io.WriteString(w, i.data); err != nil {
			t.Fatal(err)
		}
	}
	if err := z.Close(); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

// replaced changes a text in one entry, where it must stand.
func replaced(t testing.TB, list []item, name, old, with string) []item {
	t.Helper()
	list = slices.Clone(list)
	for i := range list {
		if list[i].name == name && strings.Contains(list[i].data, old) {
			list[i].data = strings.Replace(list[i].data, old, with, 1)
			return list
		}
	}
	t.Fatalf("%s does not hold %q", name, old)
	return nil
}

// without leaves an entry out.
func without(list []item, name string) []item {
	return slices.DeleteFunc(slices.Clone(list), func(i item) bool { return i.name == name })
}

func TestRepackedJobIsTheSame(t *testing.T) {
	want := sample(t)
	got, notes, err := read(zipped(t, append([]item{{"records/", ""}, {"part/", ""}}, items(t, written(t, want))...)))
	if err != nil {
		t.Fatal(err)
	}
	if diff := difference(want, got); diff != "" || len(notes) > 0 {
		t.Errorf("notes %q, difference:\n%s", notes, diff)
	}
}

func TestWhatIsNotKnownIsPassedOver(t *testing.T) {
	want := sample(t)
	list := items(t, written(t, want))
	got, notes, err := read(zipped(t, append(list, item{"firing.db", "x"}, item{"part/sub/x.stl", "y"})))
	if err != nil {
		t.Fatal(err)
	}
	if diff := difference(want, got); diff != "" {
		t.Error(diff)
	}
	if len(notes) != 1 || !strings.Contains(notes[0], "firing.db, part/sub/x.stl") {
		t.Errorf("the notes are %q", notes)
	}
}

func TestDamagedDecorationCostsOnlyItself(t *testing.T) {
	want := sample(t)
	list := items(t, written(t, want))
	list = replaced(t, list, "advice.json", "{", "[")
	list = replaced(t, list, "thumbnail.png", "PNG", "GNP")
	got, notes, err := read(zipped(t, list))
	if err != nil {
		t.Fatal(err)
	}
	want.Advice, want.Thumbnail = nil, nil
	if diff := difference(want, got); diff != "" || len(notes) != 1 {
		t.Errorf("notes %q, difference:\n%s", notes, diff)
	}
}

// hostile are files that must be refused in one sentence, by what the sentence holds.
func hostile(t testing.TB) map[string]struct {
	data []byte
	says string
} {
	good := written(t, sample(t))
	list := items(t, good)
	part := list[len(list)-1]
	type c = struct {
		data []byte
		says string
	}
	swap := func(name, data string) []item { return append(without(list, name), item{name, data}) }
	return map[string]c{
		"empty":                 {nil, "not a whole one"},
		"text":                  {[]byte("solid block\nendsolid\n"), "not a whole one"},
		"cut in the middle":     {good[:len(good)/2], "not a whole one"},
		"cut at the end":        {good[:len(good)-1], "not a whole one"},
		"another zip":           {zipped(t, []item{{"mimetype", "application/epub+zip"}}), "is no job of Kilnpoise"},
		"a zip without kind":    {zipped(t, without(list, "mimetype")), "is no job of Kilnpoise"},
		"an autosave":           {zipped(t, replaced(t, list, "mimetype", "job", "autosave")), "is no job of Kilnpoise"},
		"a step out":            {zipped(t, append(list, item{"part/../../x", ""})), "the name \"part/../../x\""},
		"from the root":         {zipped(t, append(list, item{"/etc/passwd", ""})), "the name \"/etc/passwd\""},
		"a drive":               {zipped(t, append(list, item{"c:x", ""})), "the name \"c:x\""},
		"backslashes":           {zipped(t, append(list, item{`..\x`, ""})), "which no job has"},
		"no name":               {zipped(t, append(list, item{"", ""})), "which no job has"},
		"a name of no text":     {zipped(t, append(list, item{"\xff", ""})), "which no job has"},
		"one name twice":        {zipped(t, append(list, item{"notes.txt", "other"})), `"notes.txt" twice`},
		"twice but for case":    {zipped(t, append(list, item{"Job.JSON", "{}"})), `"Job.JSON" twice`},
		"two parts":             {zipped(t, append(list, item{"part/other.stl", ""})), "more than one part"},
		"no part":               {zipped(t, without(list, part.name)), "lacks its part"},
		"no job.json":           {zipped(t, without(list, "job.json")), "lacks its entry job.json"},
		"no material":           {zipped(t, without(list, "records/material.toml")), "lacks its entry records/material.toml"},
		"too many entries":      {zipped(t, append(list, crowd(100)...)), "entries, more than a job has"},
		"an endless directory":  {zipped(t, append(list, crowd(4_000)...)), "directory is longer"},
		"another part":          {zipped(t, swap(part.name, "other")), "is not the one it was saved with"},
		"a part of that length": {zipped(t, swap(part.name, part.data[1:]+"\x00")), "is not the one it was saved with"},
		"a part longer by one":  {zipped(t, swap(part.name, part.data+"\x00")), "is not the one it was saved with"},
		"a newer format":        {zipped(t, replaced(t, list, "job.json", `"format": 2`, `"format": 17`)), "in format 17, and this one reads formats up to 2"},
		"a format below all":    {zipped(t, replaced(t, list, "job.json", `"format": 2`, `"format": -1`)), "format -1, which never was"},
		"no format":             {zipped(t, replaced(t, list, "job.json", `"format": 2`, `"shape": 1`)), "does not tell its format"},
		"a key not known":       {zipped(t, replaced(t, list, "job.json", `"item"`, `"thing"`)), "unknown field \"thing\""},
		"two numbers of three":  {zipped(t, replaced(t, list, "job.json", `"up": [`, `"up": [7,`)), "4 numbers in place of 3"},
		"text for a number":     {zipped(t, replaced(t, list, "job.json", `"size": 684`, `"size": "684"`)), "part.size holds a string"},
		"a number beyond all":   {zipped(t, replaced(t, list, "job.json", `"size": 684`, `"size": 1e999`)), "holds a fault in job.json"},
		"more after the end":    {zipped(t, replaced(t, list, "job.json", `{`, `{}{`)), "job.json"},
		"a kind of face":        {zipped(t, replaced(t, list, "job.json", "rests_well", "shiny")), "of a kind that is not known"},
		"a priority not known":  {zipped(t, replaced(t, list, "job.json", "less_sag", "more_sag")), "priority that is not known"},
		"a record not known":    {zipped(t, replaced(t, list, "records/printer.toml", "nozzle_mm", "nozzle_ft")), "records/printer.toml (line 5: the key nozzle_ft is not known"},
		"a record without form": {zipped(t, replaced(t, list, "records/furnace.toml", "=", "==")), "fault in records/furnace.toml (line 1"},
		"a record of no text":   {zipped(t, swap("records/material.toml", "\xff\xfe")), "records/material.toml"},
		"endless nesting":       {zipped(t, swap("job.json", `{"format":2,"marks":`+strings.Repeat("[", 1<<20))), "job.json"},
		"bomb in the part":      {bomb(t, list, part.name, 300), "no job does at its size"},
		"bomb in the notes":     {bomb(t, list, "notes.txt", 200), "more than a job keeps"},
		"a lie of two GB":       {lying(t, list, part.name, func(h *zip.FileHeader) { h.UncompressedSize64 = 2 << 30 }), "sizes of its entry"},
		"a lie of too little":   {lying(t, list, part.name, func(h *zip.FileHeader) { h.UncompressedSize64 = 10 }), "damaged"},
		"a wrong check sum":     {lying(t, list, "notes.txt", func(h *zip.FileHeader) { h.CRC32++ }), "damaged"},
		"a packing not known":   {lying(t, list, "notes.txt", func(h *zip.FileHeader) { h.Method = 99 }), "unsupported compression"},
		"entries in each other": {overlapping(t, list), "tells of more than it holds"},
	}
}

func crowd(n int) []item {
	out := make([]item, n)
	for i := range out {
		out[i].name = fmt.Sprintf("extra/%d", i)
	}
	return out
}

// bomb lets one entry unpack to that many MB of zeros. One packed MB does for all.
func bomb(t testing.TB, list []item, name string, mb int) []byte {
	t.Helper()
	zeros := make([]byte, 1<<20)
	var one, end bytes.Buffer
	w, err1 := flate.NewWriter(&one, flate.BestSpeed)
	_, err2 := w.Write(zeros)
	err3 := w.Flush()
	w.Reset(&end)
	if err := errors.Join(err1, err2, err3, w.Close()); err != nil {
		t.Fatal(err)
	}
	packed := append(bytes.Repeat(one.Bytes(), mb), end.Bytes()...)
	sum := crc32.NewIEEE()
	for range mb {
		_, _ = sum.Write(zeros)
	}
	var b bytes.Buffer
	z := zip.NewWriter(&b)
	for _, i := range list {
		h, data := &zip.FileHeader{Name: i.name, CRC32: crc32.ChecksumIEEE([]byte(i.data))}, []byte(i.data)
		h.UncompressedSize64 = uint64(len(data))
		if i.name == name {
			h.Method, h.CRC32, h.UncompressedSize64, data = zip.Deflate, sum.Sum32(), uint64(mb)<<20, packed
		}
		h.CompressedSize64 = uint64(len(data))
		w, err := z.CreateRaw(h)
		if err != nil {
			t.Fatal(err)
		}
		if _, err := w.Write(data); err != nil {
			t.Fatal(err)
		}
	}
	if err := z.Close(); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

// lying deflates all entries and changes what the directory tells of one.
func lying(t testing.TB, list []item, name string, lie func(*zip.FileHeader)) []byte {
	t.Helper()
	honest := zipped(t, list)
	z, err := zip.NewReader(bytes.NewReader(honest), int64(len(honest)))
	if err != nil {
		t.Fatal(err)
	}
	var b bytes.Buffer
	out := zip.NewWriter(&b)
	for _, f := range z.File {
		h := f.FileHeader
		h.Flags = 0
		if f.Name == name {
			lie(&h)
		}
		w, err := out.CreateRaw(&h)
		if err != nil {
			t.Fatal(err)
		}
		raw, err := f.OpenRaw()
		if err != nil {
			t.Fatal(err)
		}
		if _, err := io.Copy(w, raw); err != nil {
			t.Fatal(err)
		}
	}
	if err := out.Close(); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

// overlapping lets all entries of the directory point at the first, so that little
// becomes much.
func overlapping(t testing.TB, list []item) []byte {
	t.Helper()
	names := []string{"advice.json", "notes.txt", "thumbnail.png", "job.json"}
	body := strings.Repeat(" ", 100_000) // stored
	var b bytes.Buffer
	z := zip.NewWriter(&b)
	for _, name := range names {
		w, err := z.CreateRaw(&zip.FileHeader{
			Name: name, CRC32: crc32.ChecksumIEEE([]byte(body)), CompressedSize64: uint64(len(body)), UncompressedSize64: uint64(len(body)),
		})
		if err != nil {
			t.Fatal(err)
		}
		if name == names[0] {
			if _, err := io.WriteString(w, body); err != nil {
				t.Fatal(err)
			}
		}
	}
	if err := z.Close(); err != nil {
		t.Fatal(err)
	}
	data := b.Bytes()
	for at := 0; ; at += 4 { // the offsets in the directory: APPNOTE.TXT 4.3.12
		i := bytes.Index(data[at:], []byte("PK\x01\x02"))
		if i < 0 {
			return data
		}
		at += i
		binary.LittleEndian.PutUint32(data[at+42:], 0)
	}
}

func TestHostileFilesAreRefusedInOneSentence(t *testing.T) {
	for name, c := range hostile(t) {
		t.Run(name, func(t *testing.T) {
			var err error
			used := allocated(func() { _, _, err = read(c.data) })
			if err == nil {
				t.Fatal("it was read")
			}
			if s := err.Error(); !strings.Contains(s, c.says) || !strings.Contains(s, ";") || strings.Contains(s, "\n") || len(s) > 400 {
				t.Errorf("it says %q; want one sentence with %q and what to do", s, c.says)
			}
			if bound := uint64(4*len(c.data) + 32<<20); used > bound {
				t.Errorf("%d bytes were set aside for a file of %d, more than %d", used, len(c.data), bound)
			}
		})
	}
}

// allocated measures all that was set aside during f, whether freed or not.
func allocated(f func()) uint64 {
	var before, after runtime.MemStats
	runtime.ReadMemStats(&before)
	f()
	runtime.ReadMemStats(&after)
	return after.TotalAlloc - before.TotalAlloc
}

func TestErrorsOfReadingHaveTypes(t *testing.T) {
	list := items(t, written(t, sample(t)))
	var newer *job.NewerError
	if _, _, err := read(zipped(t, replaced(t, list, "job.json", `"format": 2`, `"format": 17`))); !errors.As(err, &newer) || newer.Format != 17 || newer.Program != "1.4" {
		t.Errorf("a newer format gives %v", err)
	}
	var changed *job.PartChangedError
	if _, _, err := read(zipped(t, append(list[:len(list)-1], item{list[len(list)-1].name, "other"}))); !errors.As(err, &changed) || changed.File != sample(t).Part.File {
		t.Errorf("another part gives %v", err)
	}
}

// A file of a newer format is refused as such, even where nothing else in it is as it
// was.
func TestNewerFormatIsToldBeforeAllElse(t *testing.T) {
	_, _, err := read(zipped(t, []item{
		{"mimetype", "application/x-kilnpoise-job"}, {"job.json", `{"format": 3, "program": "3.0", "part": []}`}, {"part/a.stl", "a"}, {"part/b.stl", "b"},
	}))
	if want := `a newer Kilnpoise ("3.0") in format 3`; err == nil || !strings.Contains(err.Error(), want) {
		t.Errorf("it says %v, want %s", err, want)
	}
}

func TestReadFileNamesTheFile(t *testing.T) {
	dir := t.TempDir()
	path := filepath.Join(dir, "pump.kilnpoise")
	if err := os.WriteFile(path, []byte("nothing"), 0o666); err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct{ path, says string }{
		{path, "pump.kilnpoise is no job of Kilnpoise, or not a whole one"},
		{dir, "is no job of Kilnpoise"},
		{filepath.Join(dir, "none.kilnpoise"), "none.kilnpoise cannot be opened"},
	} {
		if _, _, err := job.ReadFile(t.Context(), c.path); err == nil || !strings.Contains(err.Error(), c.says) || strings.Contains(err.Error(), dir) {
			t.Errorf("it says %v, want %q", err, c.says)
		}
	}
}

func TestReadingAndWritingCanBeStopped(t *testing.T) {
	ctx, cancel := context.WithCancel(t.Context())
	cancel()
	data := written(t, sample(t))
	if _, _, err := job.Read(ctx, bytes.NewReader(data), int64(len(data))); !errors.Is(err, context.Canceled) {
		t.Errorf("reading gives %v", err)
	}
	if err := job.Write(ctx, io.Discard, sample(t)); !errors.Is(err, context.Canceled) {
		t.Errorf("writing gives %v", err)
	}
}

// A part that packs more tightly than reading allows is stored as it is: what was saved
// can be read, always.
func TestTightlyPackedPartsAreReadAgain(t *testing.T) {
	if testing.Short() {
		t.Skip("takes 400 MB")
	}
	j := sample(t)
	j.Part.Content = job.NewContent(make([]byte, 130<<20))
	data := written(t, j)
	if len(data) < 130<<20 {
		t.Errorf("130 MB of zeros were packed to %d bytes", len(data))
	}
	got, _, err := read(data)
	if err != nil || !got.Part.Content.Equal(j.Part.Content) {
		t.Errorf("read as %d bytes, %v", got.Part.Content.Size(), err)
	}
}
