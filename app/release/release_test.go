package main

import (
	"bytes"
	"compress/gzip"
	"debug/buildinfo"
	"encoding/binary"
	"encoding/json"
	"encoding/xml"
	"fmt"
	"image/png"
	"io"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/spf13/pflag"

	"kilnpoise/app/command"
)

var date = time.Date(2026, 3, 1, 12, 0, 0, 0, time.UTC)

// shared gives the files under share, by their paths.
func shared(t *testing.T) map[string]string {
	t.Helper()
	folder := t.TempDir()
	if err := writeShare(folder, date); err != nil {
		t.Fatal(err)
	}
	return below(t, folder)
}

func below(t *testing.T, folder string) map[string]string {
	t.Helper()
	out := map[string]string{}
	err := filepath.WalkDir(folder, func(path string, d os.DirEntry, err error) error {
		if err != nil || d.IsDir() {
			return err
		}
		data, err := os.ReadFile(path)
		name, _ := filepath.Rel(folder, path)
		out[filepath.ToSlash(name)] = string(data)
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
	return out
}

func TestTheManualNamesEveryCommandAndFlag(t *testing.T) {
	page := string(manPage(command.Root(), command.Version, date))
	seen := 0
	for _, c := range runnable(command.Root()) {
		if !strings.Contains(page, escaped(c.CommandPath())) {
			t.Errorf("%s is not on the page", c.CommandPath())
		}
		c.Flags().VisitAll(func(f *pflag.Flag) {
			if seen++; f.Name != "help" && !strings.Contains(page, escaped("--"+f.Name)+`\fR`) {
				t.Errorf("%s --%s is not on the page", c.CommandPath(), f.Name)
			}
		})
	}
	if seen < 40 {
		t.Errorf("only %d flags were looked for", seen)
	}
	for line := range strings.Lines(page) {
		if request := regexp.MustCompile(`^[.']\S*`).FindString(line); request != "" && !slices.Contains([]string{".TH", ".SH", ".SS", ".PP", ".TP", ".B", ".I", ".br"}, request) {
			t.Errorf("text is taken for a request: %q", line)
		}
	}
}

func TestEscaped(t *testing.T) {
	for in, want := range map[string]string{
		"plain": "plain", "a-b": `a\-b`, `c:\d`: `c:\ed`, ".kilnpoise": `\&.kilnpoise`, "'quoted'": `\&'quoted'`,
	} {
		if got := escaped(in); got != want {
			t.Errorf("%q becomes %q, want %q", in, got, want)
		}
	}
}

// Two makings of one release are the same byte for byte, and say nothing of the machine.
func TestShareIsAlwaysTheSame(t *testing.T) {
	first, second := shared(t), shared(t)
	if len(first) != 6+len(iconSizes()) {
		t.Errorf("%d files", len(first))
	}
	for name, data := range first {
		if second[name] != data {
			t.Errorf("%s differs", name)
		}
	}
}

func TestIconsHaveTheirSizes(t *testing.T) {
	all := shared(t)
	for _, size := range iconSizes() {
		name := fmt.Sprintf("icons/hicolor/%dx%d/apps/kilnpoise.png", size, size)
		c, err := png.DecodeConfig(strings.NewReader(all[name]))
		if err != nil || c.Width != size || c.Height != size {
			t.Errorf("%s is %d x %d, %v", name, c.Width, c.Height, err)
		}
	}
}

// The desktop's files speak of one kind of file, which is the one that jobs tell.
func TestDesktopKnowsTheJob(t *testing.T) {
	all := shared(t)
	var mime struct {
		Type struct {
			Name string `xml:"type,attr"`
			Glob struct {
				Pattern string `xml:"pattern,attr"`
			} `xml:"glob"`
		} `xml:"mime-type"`
	}
	if err := xml.Unmarshal([]byte(all["mime/packages/kilnpoise.xml"]), &mime); err != nil {
		t.Fatal(err)
	}
	if mime.Type.Name != "application/x-kilnpoise-job" || mime.Type.Glob.Pattern != "*.kilnpoise" {
		t.Errorf("the type is %+v", mime.Type)
	}
	for _, kind := range []string{mime.Type.Name, "model/stl", "model/3mf", "model/obj"} {
		if !strings.Contains(all["applications/kilnpoise.desktop"], kind+";") {
			t.Errorf("the desktop entry does not open %s", kind)
		}
	}
	job, err := os.ReadFile(filepath.Join("..", "..", "testdata", "kept", "0.1.0", "lid.kilnpoise"))
	if err != nil {
		t.Fatal(err)
	}
	if got := string(job[30 : 30+len("mimetype"+mime.Type.Name)]); got != "mimetype"+mime.Type.Name {
		t.Errorf("a job begins with %q", got)
	}
}

func TestICO(t *testing.T) {
	folder := t.TempDir()
	if err := writeResource(folder, "kilnpoise"); err != nil {
		t.Fatal(err)
	}
	data, err := os.ReadFile(filepath.Join(folder, "kilnpoise.ico"))
	if err != nil {
		t.Fatal(err)
	}
	for i, size := range icoSizes() {
		entry := data[6+16*i:]
		length, at := binary.LittleEndian.Uint32(entry[8:]), binary.LittleEndian.Uint32(entry[12:])
		c, err := png.DecodeConfig(bytes.NewReader(data[at : at+length]))
		if err != nil || c.Width != size || int(entry[0]) != size%256 {
			t.Errorf("picture %d is %d wide and said to be %d, %v", size, c.Width, entry[0], err)
		}
	}
	script, err := os.ReadFile(filepath.Join(folder, "kilnpoise.rc"))
	if err != nil || !bytes.Contains(script, []byte(`"`+command.Version+`"`)) || regexp.MustCompile("NUMBERS|RELEASE|PROGRAM").Match(script) {
		t.Errorf("the script is %s, %v", script, err)
	}
}

func TestGzippedHasNoDate(t *testing.T) {
	data, err := gzipped([]byte("text"))
	if err != nil {
		t.Fatal(err)
	}
	r, err := gzip.NewReader(bytes.NewReader(data))
	if err != nil || r.Name != "" || !r.ModTime.IsZero() {
		t.Fatal(r.Header, err)
	}
	if text, err := io.ReadAll(r); err != nil || string(text) != "text" {
		t.Errorf("it holds %q, %v", text, err)
	}
}

// This test program has modules of its own linked in: each has its licence and is on the
// list, and the list says nothing of this machine.
func TestLicencesAndListOfThisProgram(t *testing.T) {
	program, err := os.Executable()
	if err != nil {
		t.Fatal(err)
	}
	t.Chdir(filepath.Join("..", ".."))
	folder := t.TempDir()
	if err := writeLicences(folder, []string{program}, date); err != nil {
		t.Fatal(err)
	}
	all := below(t, folder)
	var list cycloneDX
	if err := json.Unmarshal([]byte(all["kilnpoise.cdx.json"]), &list); err != nil {
		t.Fatal(err)
	}
	if list.BOMFormat != "CycloneDX" || list.Metadata.Component.Version != command.Version || list.Metadata.Timestamp != "2026-03-01T12:00:00Z" {
		t.Errorf("the list is of %+v", list.Metadata)
	}
	info, err := buildinfo.ReadFile(program)
	if err != nil {
		t.Fatal(err)
	}
	if len(info.Deps) < 10 || len(list.Components) != len(info.Deps)+1 {
		t.Errorf("%d parts are listed, %d modules linked in beside the standard library", len(list.Components), len(info.Deps))
	}
	for _, c := range list.Components {
		if len(c.Licences) == 0 || (len(c.Hashes) == 0) != (c.Name == standardLibrary) || c.URL == "" {
			t.Errorf("%+v", c)
		}
		if !strings.Contains(all["copyright"], "\n "+c.Name+" "+c.Version+"\n") {
			t.Errorf("copyright does not name %s", c.Name)
		}
		if !slices.ContainsFunc(keys(all), func(name string) bool {
			return strings.HasPrefix(name, "licences/"+strings.ReplaceAll(c.Name, "/", "_")+"/")
		}) {
			t.Errorf("%s has no licence in the folder", c.Name)
		}
	}
	home, _ := os.UserHomeDir()
	host, _ := os.Hostname()
	for _, word := range []string{home + "/", os.TempDir() + "/", host, "proxy"} {
		if strings.Contains(all["kilnpoise.cdx.json"], word) {
			t.Errorf("the list names %q", word)
		}
	}
	own, err := os.ReadFile("LICENSE")
	if err != nil {
		t.Fatal(err)
	}
	if words := strings.Fields(string(own)); !strings.Contains(strings.Join(strings.Fields(all["copyright"]), " "), strings.Join(words[len(words)-10:], " ")) {
		t.Error("copyright lacks the program's own licence")
	}
}

func keys(m map[string]string) []string {
	var out []string
	for k := range m {
		out = append(out, k)
	}
	return out
}

func TestSPDX(t *testing.T) {
	const three = "Redistribution and use in source and binary forms, with or without\nmodification, are permitted"
	tests := []struct {
		text string
		want []string
	}{
		{"All rights reserved.", nil},
		{three, []string{"BSD-2-Clause"}},
		{three + "\nNeither the name may be used to endorse or promote products derived from\n this software", []string{"BSD-3-Clause"}},
		{"                Apache License\n   Version 2.0, January 2004", []string{"Apache-2.0"}},
		{"SQLite Is Public Domain; SIL OPEN FONT LICENSE Version 1.1", []string{"OFL-1.1", "blessing"}},
	}
	for _, tt := range tests {
		if got := spdx([]byte(tt.text)); !slices.Equal(got, tt.want) {
			t.Errorf("%q is %q, want %q", tt.text, got, tt.want)
		}
	}
}

// A module without a licence stops the release.
func TestNoLicenceNoRelease(t *testing.T) {
	m := module{Path: "example.org/bare", Version: "v1.0.0", Dir: t.TempDir()}
	if err := os.WriteFile(filepath.Join(m.Dir, "AUTHORS"), []byte("nobody"), 0o600); err != nil {
		t.Fatal(err)
	}
	if _, err := licencesIn(m); err == nil || !strings.Contains(err.Error(), m.Path) {
		t.Errorf("it says %v", err)
	}
}

func TestModuleHash(t *testing.T) {
	const sum = "h1:AAECAwQFBgcICQoLDA0ODxAREhMUFRYXGBkaGxwdHh8="
	if got, err := moduleHash(sum); err != nil || got.Content != "000102030405060708090a0b0c0d0e0f101112131415161718191a1b1c1d1e1f" {
		t.Errorf("%v, %v", got, err)
	}
	for _, bad := range []string{"", "h2" + sum[2:], "h1:AAEC", "h1:?"} {
		if got, err := moduleHash(bad); err == nil {
			t.Errorf("%q becomes %v", bad, got)
		}
	}
}

func TestPackageURL(t *testing.T) {
	if got, want := packageURL(module{Path: "github.com/Some/Thing", Version: "v2.0.0+incompatible"}), "pkg:golang/github.com/some/thing@v2.0.0%2Bincompatible"; got != want {
		t.Errorf("%s, want %s", got, want)
	}
}

func TestWrongUse(t *testing.T) {
	t.Setenv("SOURCE_DATE_EPOCH", "1")
	for _, args := range [][]string{nil, {"share"}, {"licences", "x"}, {"bogus", "x"}} {
		if err := run(args); err == nil {
			t.Errorf("%q is taken", args)
		}
	}
	t.Setenv("SOURCE_DATE_EPOCH", "yesterday")
	if err := run([]string{"version"}); err == nil {
		t.Error("a date of words is taken")
	}
}
