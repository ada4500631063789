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
}

// relation is one line of a relationships part.
type relation struct {
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
	if !ok {
		return nil, fmt.Errorf("part %s is missing from the package; export the part again", name)
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
		Relations []relation `xml:"Relationship"`
	}
	if err := xml.Unmarshal(data, &list); err != nil {
		return nil, fmt.Errorf("part %s cannot be understood (%w); export the part again", name, err)
	}
	for i, r := range list.Relations {
		if u, err := url.Parse(r.Target); strings.EqualFold(r.Mode, "External") || err == nil && u.IsAbs() {
			return nil, fmt.Errorf("part %s points outside the file to %q, which 3MF forbids; export the part again", name, r.Target)
		}
		list.Relations[i].Target = partName(source, r.Target)
	}
	return list.Relations, nil
}

// rootModel finds the part that holds the build.
func (p *opcPackage) rootModel() (name string, notes []string, err error) {
	root, err := p.relations("/")
	if err != nil {
		return "", nil, err
	}
	for _, r := range root {
		if r.Type == relModel {
			name = r.Target
			break
		}
	}
	if name == "" {
		return "", nil, errors.New("the package does not say which part is its model (_rels/.rels); export the part again")
	}
	own, err := p.relations(name)
	if err != nil {
		return "", nil, err
	}
	return name, p.relationNotes(append(root, own...)), nil
}

// relationNotes remarks on references that lead nowhere or come twice; neither
// touches the shape.
func (p *opcPackage) relationNotes(list []relation) []string {
	var notes []string
	tickets := 0
	for _, r := range list {
		if _, ok := p.parts[r.Target]; !ok && r.Type != relModel {
			notes = append(notes, fmt.Sprintf("The package refers to %s, which it does not hold.", r.Target))
		}
		if r.Type == relPrintTicket {
			tickets++
		}
	}
	if tickets > 1 {
		notes = append(notes, fmt.Sprintf("The model has %d print tickets in place of one; they were passed over.", tickets))
	}
	return notes
}
