package main

import (
	"bytes"
	"errors"
	"fmt"
	"io/fs"
	"maps"
	"os"
	"path"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"time"
)

// licence is a text that comes with a module.
type licence struct {
	// File is its path within the module.
	File string
	// IDs are those of the licences in it, none for a text that is no licence, such as
	// a list of authors.
	IDs  []string
	Text []byte
}

// licenceName is how files are named that have to go with a program.
var licenceName = regexp.MustCompile(`(?i)^(licen[cs]e|copying|copyright|notice|patents|authors|ofl|ftl)([-_.].*)?$`)

// besidesSource are folders whose files do not get into a program.
func besidesSource(name string) bool {
	return name == "testdata" || name == "vendor" || name == "cmd" || strings.HasPrefix(name, ".") || strings.HasPrefix(name, "_")
}

// licencesIn finds the licences of a module, of what it has taken over and of the fonts
// that it brings. The standard library has one for all.
func licencesIn(m module) ([]licence, error) {
	var out []licence
	err := filepath.WalkDir(m.Dir, func(path string, d fs.DirEntry, err error) error {
		switch {
		case err != nil:
			return err
		case d.IsDir() && path != m.Dir && (besidesSource(d.Name()) || m.Path == standardLibrary):
			return fs.SkipDir
		case !d.Type().IsRegular() || !licenceName.MatchString(d.Name()) || filepath.Ext(d.Name()) == ".go":
			return nil
		}
		text, err := os.ReadFile(path)
		if err != nil {
			return err
		}
		name, err := filepath.Rel(m.Dir, path)
		out = append(out, licence{filepath.ToSlash(name), spdx(text), text})
		return err
	})
	if err != nil {
		return nil, err
	}
	if len(ids(out)) == 0 {
		return nil, fmt.Errorf("%s %s comes without a licence that is known; look at it, and add its words to the table of licences", m.Path, m.Version)
	}
	return out, nil
}

// spdx tells licences by their words, in the IDs of the SPDX list; line breaks do not
// count.
func spdx(text []byte) (ids []string) {
	plain := strings.ToLower(string(bytes.Join(bytes.Fields(text), []byte(" "))))
	for _, known := range []struct{ id, words string }{
		{"Apache-2.0", "apache license version 2.0"},
		{"BSD-3-Clause", "used to endorse or promote products derived from this software"},
		{"BSD-2-Clause", "redistribution and use in source and binary forms, with or without modification, are permitted"},
		{"Bitstream-Vera", "bitstream vera fonts copyright"},
		{"CC-BY-4.0", "creative commons attribution 4.0 international"},
		{"FTL", "the freetype project license"},
		{"ISC", "for any purpose with or without fee is hereby granted, provided that the above copyright notice and this permission notice appear"},
		{"MIT", "permission is hereby granted, free of charge, to any person obtaining a copy of this software and associated"},
		{"MPL-2.0", "mozilla public license version 2.0"},
		{"OFL-1.1", "sil open font license version 1.1"},
		{"Zlib", "permission is granted to anyone to use this software for any purpose, including commercial applications, and to alter it"},
		{"blessing", "sqlite is public domain"},
	} {
		// The licence of three clauses holds the two of the other.
		if strings.Contains(plain, known.words) && !(known.id == "BSD-2-Clause" && slices.Contains(ids, "BSD-3-Clause")) {
			ids = append(ids, known.id)
		}
	}
	return ids
}

// ids lists the known licences among texts, sorted, each once.
func ids(texts []licence) []string {
	found := map[string]bool{}
	for _, l := range texts {
		for _, id := range l.IDs {
			found[id] = true
		}
	}
	return slices.Sorted(maps.Keys(found))
}

// writeLicences writes the licences of all that is linked into programs, the file that
// says which is whose, and the list of the parts.
func writeLicences(folder string, programs []string, date time.Time) error {
	modules, err := modulesOf(programs)
	if err != nil {
		return err
	}
	if err := locate(modules); err != nil {
		return err
	}
	own, err := os.ReadFile("LICENSE")
	if err != nil {
		return errors.Join(errors.New("run this at the top of the source"), err)
	}
	out, licences := files{}, map[string][]licence{}
	for _, m := range modules {
		if licences[m.Path], err = licencesIn(m); err != nil {
			return err
		}
		for _, l := range licences[m.Path] {
			out[path.Join("licences", strings.ReplaceAll(m.Path, "/", "_"), strings.ReplaceAll(l.File, "/", "_"))] = l.Text
		}
	}
	out["copyright"] = copyright(own, modules, licences)
	if out["kilnpoise.cdx.json"], err = partsList(modules, licences, date); err != nil {
		return err
	}
	return out.write(folder)
}

// copyright is the file of that name in the form that Debian reads: Kilnpoise's own
// licence, and whose modules are linked in.
func copyright(own []byte, modules []module, licences map[string][]licence) []byte {
	_, terms, _ := strings.Cut(string(own), "\n\n") // after the title
	holder, terms, _ := strings.Cut(terms, "\n\n")
	var b bytes.Buffer
	fmt.Fprintf(&b, "Format: https://www.debian.org/doc/packaging-manuals/copyright-format/1.0/\nUpstream-Name: Kilnpoise\n")
	fmt.Fprintf(&b, "Comment: These Go modules are linked into the program. Their licences lie in\n the folder licences beside this file, a list of all in kilnpoise.cdx.json.\n")
	for _, m := range modules {
		fmt.Fprintf(&b, " .\n %s %s\n  %s\n", m.Path, m.Version, strings.Join(ids(licences[m.Path]), ", "))
	}
	fmt.Fprintf(&b, "\nFiles: *\nCopyright: %s\nLicense: Expat\n", strings.TrimPrefix(holder, "Copyright (c) "))
	for line := range strings.Lines(terms) {
		line = strings.TrimRight(line, "\n")
		if line == "" {
			line = "."
		}
		fmt.Fprintf(&b, " %s\n", line)
	}
	return b.Bytes()
}
