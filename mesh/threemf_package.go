package mesh

import (
	"archive/zip"
	"bytes"
	"encoding/xml"
	"errors"
	"fmt"
	"io"
	"math"
	"net/url"
	"path"
	"slices"
	"strings"
)

// Bounds on a package. The sizes in its directory are checked before anything is
// unpacked; the unzipper stops at them, so a directory that lies gains nothing.
const (
	maxEntries   = 10_000
	maxDirectory = 16 << 20 // bytes that are read to find the entries
	maxUnpacked  = 1 << 31  // of all model parts together: a 3MF of 20 million facets
	maxRelations = 1 << 20  // of one relationships part
	freeUnpacked = 16 << 20 // up to here the ratio does not matter
	maxRatio     = 100      // honest meshes pack to a tenth, zip bombs to a thousandth
)

// zipEncrypted is the flag of encrypted entries.
const zipEncrypted = 1

// Relationship types of the 3MF core specification, section 2.1.
const (
	relModel       = "http://schemas.microsoft.com/3dmanufacturing/2013/01/3dmodel"
	relPrintTicket = "http://schemas.microsoft.com/3dmanufacturing/2013/01/printticket"
)

// opcPackage is the zip file around a 3MF (Open Packaging Conventions, ISO/IEC
// 29500-2). The 3MF library reads packages too, but takes every attachment into
// memory and insists on the case of part names, which the standard does not.
type opcPackage struct {
	parts    map[string]*zip.File // by canonical name
	unpacked uint64
	notes    []string
}

// relation is one line of a relationships part.
type relation struct {
	ID     string `xml:"Id,attr"`
	Type   string `xml:"Type,attr"`
	Target string `xml:"Target,attr"`
	Mode   string `xml:"TargetMode,attr"`
}

func openPackage(r io.ReaderAt, size int64) (*opcPackage, error) {
	meter := &meteredReader{r: r, left: maxDirectory}
	z, err := zip.NewReader(meter, size)
	if errors.Is(err, errMetered) || err == nil && len(z.File) > maxEntries {
		return nil, fmt.Errorf("the package has more than %d entries; export the part again", maxEntries)
	}
	if err != nil {
		return nil, fmt.Errorf("is not a whole zip package (%w); copy or export the file again", err)
	}
	meter.left = math.MaxInt64
	p := &opcPackage{parts: make(map[string]*zip.File, len(z.File))}
	for _, f := range z.File {
		name := partName("/", f.Name)
		if _, ok := p.parts[name]; ok {
			return nil, fmt.Errorf("the package holds part %s twice, and which is meant is not said; export the part again", name)
		}
		p.parts[name] = f
	}
	return p, nil
}

// meteredReader reads so many bytes and no more: the directory of a zip is read
// whole, whatever its length, before it can be counted.
type meteredReader struct {
	r    io.ReaderAt
	left int64
}

var errMetered = errors.New("the directory of the package is too long")

func (m *meteredReader) ReadAt(b []byte, off int64) (int, error) {
	if m.left < int64(len(b)) {
		return 0, errMetered
	}
	n, err := m.r.ReadAt(b, off)
	m.left -= int64(n)
	return n, err
}

// partName makes a reference canonical: absolute, lower case (part names compare
// so), escapes resolved. Relative references start from the part named source.
func partName(source, ref string) string {
	if plain, err := url.PathUnescape(ref); err == nil {
		ref = plain
	}
	ref = strings.ReplaceAll(ref, `\`, "/")
	if !strings.HasPrefix(ref, "/") {
		ref = path.Join(path.Dir(source), ref)
	}
	return strings.ToLower(path.Clean("/" + ref))
}

// read unpacks one small part within the bounds.
func (p *opcPackage) read(name string, limit uint64) ([]byte, error) {
	r, err := p.open(name, limit)
	if err != nil {
		return nil, err
	}
	defer r.Close()
	var b bytes.Buffer
	if _, err := io.Copy(&b, r); err != nil {
		return nil, errDamaged(name, err)
	}
	return b.Bytes(), nil
}

// errDamaged says that a part does not unpack to what the directory says of it.
func errDamaged(name string, err error) error {
	return fmt.Errorf("part %s is damaged (%w); copy or export the file again", name, err)
}

// open begins to unpack a part that is within the bounds.
func (p *opcPackage) open(name string, limit uint64) (io.ReadCloser, error) {
	f, ok := p.parts[name]
	if !ok && p.parts[name+"/[0].piece"] != nil {
		return nil, fmt.Errorf("part %s comes in pieces, which 3MF does not have; export the part again", name)
	}
	if !ok {
		return nil, fmt.Errorf("part %s is missing from the package; export the part again", name)
	}
	if f.Flags&zipEncrypted != 0 {
		return nil, fmt.Errorf("part %s is encrypted; export the part without a password", name)
	}
	size := f.UncompressedSize64
	p.unpacked += size
	switch {
	case size > limit || p.unpacked > maxUnpacked:
		return nil, fmt.Errorf("part %s would unpack to %d MB, more than is allowed; export the part with a coarser tolerance", name, p.unpacked>>20)
	case size > freeUnpacked && size/maxRatio > f.CompressedSize64:
		return nil, fmt.Errorf("part %s would unpack to %d times its size, which no mesh does; get the file from another source", name, size/max(f.CompressedSize64, 1))
	}
	r, err := f.Open()
	if err != nil {
		return nil, fmt.Errorf("part %s cannot be unpacked (%w); copy or export the file again", name, err)
	}
	return r, nil
}

// relations gives what the part named source refers to, "/" standing for the
// package itself.
func (p *opcPackage) relations(source string) ([]relation, error) {
	dir, base := path.Split(source)
	name := dir + "_rels/" + base + ".rels"
	if _, ok := p.parts[name]; !ok {
		return nil, nil
	}
	data, err := p.read(name, maxRelations)
	if err != nil {
		return nil, err
	}
	var list struct {
		XMLName   xml.Name
		Relations []relation `xml:"Relationship"`
	}
	if err := unmarshalPlain(data, &list); err != nil {
		return nil, fmt.Errorf("part %s cannot be understood (%w); export the part again", name, err)
	}
	if list.XMLName != (xml.Name{Space: nsRelations, Local: "Relationships"}) {
		return nil, fmt.Errorf("part %s is no list of relationships; export the part again", name)
	}
	var out []relation
	for _, r := range list.Relations {
		if u, err := url.Parse(r.Target); strings.EqualFold(r.Mode, "External") || err == nil && u.IsAbs() {
			return nil, fmt.Errorf("part %s points outside the file to %q, which 3MF forbids; export the part again", name, printable(r.Target, maxName))
		}
		if r.Type != "" && r.Target != "" {
			r.Target = partName(source, r.Target)
			out = append(out, r)
		}
	}
	p.noteRelations(name, list.Relations)
	return out, nil
}

// nsRelations is the namespace of relationships parts.
const nsRelations = "http://schemas.openxmlformats.org/package/2006/relationships"

// unmarshalPlain is xml.Unmarshal that refuses document types, which Open Packaging
// forbids and the standard library passes over.
func unmarshalPlain(data []byte, v any) error {
	if bytes.Contains(data, []byte("<!DOCTYPE")) {
		return errors.New("a document type, which packages may not have")
	}
	return xml.Unmarshal(data, v)
}

// noteRelations remarks on relationships that lack something, or a number of their
// own.
func (p *opcPackage) noteRelations(name string, list []relation) {
	seen := map[string]bool{}
	lacking, same := 0, ""
	for _, r := range list {
		if r.ID == "" || r.Type == "" || r.Target == "" {
			lacking++
		}
		if seen[r.ID] {
			same = r.ID
		}
		seen[r.ID] = r.ID != ""
	}
	if lacking > 0 {
		p.notes = append(p.notes, fmt.Sprintf("In part %s %s its number, type or target.", name, count(lacking, "relationship lacks", "relationships lack")))
	}
	if same != "" {
		p.notes = append(p.notes, fmt.Sprintf("In part %s two relationships are numbered %q.", name, clip([]byte(same))))
	}
}

// rootModel finds the part that holds the build.
func (p *opcPackage) rootModel() (name string, notes []string, err error) {
	root, err := p.relations("/")
	if err != nil {
		return "", nil, err
	}
	if name, err = p.soleModel(root); err != nil {
		return "", nil, err
	}
	own, err := p.relations(name)
	if err != nil {
		return "", nil, err
	}
	p.noteType(name)
	return name, append(p.notes, p.relationNotes(append(root, own...))...), nil
}

// soleModel gives the one part that relationships of the package name as its model
// (core specification 2.1.1).
func (p *opcPackage) soleModel(root []relation) (string, error) {
	var names []string
	times := 0
	for _, r := range root {
		if r.Type != relModel {
			continue
		}
		if times++; !slices.Contains(names, r.Target) {
			names = append(names, r.Target)
		}
	}
	switch {
	case len(names) == 0:
		return "", errors.New("the package does not say which part is its model (_rels/.rels); export the part again")
	case len(names) > 1:
		return "", fmt.Errorf("the package names %d parts as its model, %s and %s among them, and which is meant is not said; export the part again", len(names), printable(names[0], maxName), printable(names[1], maxName))
	case times > 1:
		p.notes = append(p.notes, fmt.Sprintf("The package names its model %d times.", times))
	}
	return names[0], nil
}

// modelType is the content type of a model part.
const modelType = "application/vnd.ms-package.3dmanufacturing-3dmodel+xml"

// noteType remarks on a package that does not call its model one (Open Packaging
// 7.2.3): what it holds shows when it is read.
func (p *opcPackage) noteType(model string) {
	name := partName("/", contentTypesPart)
	if _, ok := p.parts[name]; !ok {
		p.notes = append(p.notes, "The package has no list of content types.")
		return
	}
	var types struct {
		Defaults []struct {
			Extension string `xml:"Extension,attr"`
			Type      string `xml:"ContentType,attr"`
		} `xml:"Default"`
		Overrides []struct {
			Part string `xml:"PartName,attr"`
			Type string `xml:"ContentType,attr"`
		} `xml:"Override"`
	}
	data, err := p.read(name, maxRelations)
	if err == nil {
		err = unmarshalPlain(data, &types)
	}
	if err != nil {
		p.notes = append(p.notes, fmt.Sprintf("The package's list of content types cannot be understood (%v).", err))
		return
	}
	found := ""
	for _, d := range types.Defaults {
		if strings.EqualFold("."+d.Extension, path.Ext(model)) {
			found = d.Type
		}
	}
	for _, o := range types.Overrides {
		if partName("/", o.Part) == model {
			found = o.Type
		}
	}
	if !strings.EqualFold(found, modelType) {
		p.notes = append(p.notes, fmt.Sprintf("The model %s has the content type %q, which is not that of a model.", model, clip([]byte(found))))
	}
}

// relationNotes remarks on references that lead nowhere or come twice; neither
// touches the shape.
func (p *opcPackage) relationNotes(list []relation) []string {
	var notes []string
	tickets, missing := 0, 0
	for _, r := range list {
		if _, ok := p.parts[r.Target]; !ok && r.Type != relModel {
			if missing++; missing == 1 {
				notes = append(notes, fmt.Sprintf("The package refers to %s, which it does not hold.", printable(r.Target, maxName)))
			}
		}
		if r.Type == relPrintTicket {
			tickets++
		}
	}
	if missing > 1 {
		notes = append(notes, fmt.Sprintf("The package refers to %d parts in all that it does not hold.", missing))
	}
	if tickets > 1 {
		notes = append(notes, fmt.Sprintf("The model has %d print tickets in place of one; they were passed over.", tickets))
	}
	return notes
}
