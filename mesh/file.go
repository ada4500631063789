package mesh

import (
	"context"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"slices"
	"strings"
)

// File is what one part file holds before the user has chosen what of it is the
// part. It is not changed after reading and may be used by several goroutines.
type File struct {
	// Path is the path or name given to the reader. Name is its base name without
	// extension, as PrintableName shows it, and never empty. Format is one of "STL
	// binary", "STL text", "3MF", "OBJ".
	Path, Name, Format string
	// SHA256 is the hash of the bytes of the file, in hex.
	SHA256 string
	// Unit is the unit the coordinates were read in; UnitAssumed is true when
	// neither the file nor the caller gave one.
	Unit        Unit
	UnitAssumed bool
	// Items are the build items of a 3MF, or the one mesh of an STL or OBJ.
	Items []Item
	// CutOff is true where the file ends in the middle of what it holds, so that some
	// of the part is missing; Notes say how much of it was read.
	CutOff bool
	// Notes are remarks from reading, in plain sentences.
	Notes []string
	// SuggestedUnit is a unit that would make the size plausible (largest side
	// 2 mm to 1 m) where the assumed one does not; "" otherwise.
	SuggestedUnit Unit

	room    room // left for mending
	unended bool // it has not the end that its format asks for
}

// Item is one thing to build, its transforms and components carried out. The
// mesh is in millimetres, with as many facets as the file has, unrepaired.
type Item struct {
	Name string
	Mesh *Mesh
}

// ReadOptions are the user's say in how a file is read.
type ReadOptions struct {
	// Unit overrides the unit of the file. "" takes the file's own, or
	// millimetres for formats that have none (STL, OBJ).
	Unit Unit
	// Packed is how many bytes the file takes where it is kept packed, as in a job;
	// 0 where it is kept as it is. What a file may unfold to goes by that.
	Packed int64
}

// content is what a reader of one format hands back, in file units.
type content struct {
	items []Item
	unit  Unit // "" for formats without units
	notes []string
	// cutOff and unended are as in File.
	cutOff, unended bool
}

// ReadFile reads a part file: STL binary or text, 3MF or OBJ, told apart by
// content first and extension second. The error is one sentence that names the
// file, the place in it, and what to do. It may be called by several goroutines
// at once; cancelling ctx stops it with ctx.Err(). A file that would take more memory
// than four times its size and ReadingMemory, with its mending, is refused.
func ReadFile(ctx context.Context, path string, o ReadOptions) (*File, error) {
	info, err := os.Stat(path)
	if err != nil {
		return nil, fmt.Errorf("%s cannot be opened (%w); check the path", shownBase(path), plainPathError(err))
	}
	if !info.Mode().IsRegular() {
		return nil, fmt.Errorf("%s is not a file; choose an STL, 3MF or OBJ file", shownBase(path))
	}
	f, err := os.Open(path)
	if err != nil {
		return nil, fmt.Errorf("%s cannot be opened (%w); check the permissions", shownBase(path), plainPathError(err))
	}
	defer f.Close()
	return Read(ctx, path, f, info.Size(), o)
}

// plainPathError takes the path out of an error that names it already.
func plainPathError(err error) error {
	var p *os.PathError
	if errors.As(err, &p) {
		return p.Err
	}
	return err
}

// Read is ReadFile on size bytes of r, for files that are not on disk; name
// stands for the path and may be any text with an extension.
func Read(ctx context.Context, name string, r io.ReaderAt, size int64, o ReadOptions) (*File, error) {
	base := filepath.Base(name)
	f := &File{Path: name, Name: PrintableName(strings.TrimSuffix(base, filepath.Ext(base)))}
	if f.Name == "" {
		f.Name = "part"
	}
	if err := f.read(ctx, &patientReader{ctx: ctx, r: r, size: size}, size, o); err != nil {
		if ctx.Err() != nil {
			return nil, ctx.Err()
		}
		return nil, fmt.Errorf("%s: %w", f.base(), plainly(err))
	}
	return f, nil
}

func (f *File) read(ctx context.Context, r io.ReaderAt, size int64, o ReadOptions) error {
	if o.Unit.MM() != o.Unit.MM() {
		_, err := ParseUnit(string(o.Unit))
		return err
	}
	format, notes, err := detect(f.Path, r, size)
	if err != nil {
		return err
	}
	f.Format = string(format)
	f.room = roomFor(size, o.Packed)
	c, err := format.read(ctx, r, size, &f.room)
	if err != nil {
		return err
	}
	f.Items, f.CutOff, f.unended = c.items, c.cutOff, c.unended
	f.nameItems()
	f.settleUnit(c.unit, o.Unit)
	if err := f.scale(); err != nil {
		return err
	}
	f.noteSize()
	for _, note := range slices.Concat(notes, c.notes) {
		f.Notes = append(f.Notes, printable(note, maxSentence))
	}
	return f.hash(r, size)
}

// nameItems makes the names of the items fit to be shown, and names what the file
// does not.
func (f *File) nameItems() {
	for i := range f.Items {
		item := &f.Items[i]
		item.Name = PrintableName(item.Name)
		switch {
		case item.Name != "":
		case len(f.Items) == 1:
			item.Name = f.Name
		default:
			item.Name = fmt.Sprintf("item %d", i+1)
		}
	}
}

// settleUnit chooses between the unit of the file and the one asked for.
func (f *File) settleUnit(own, asked Unit) {
	switch {
	case asked != "":
		f.Unit = asked
		if own != "" && own != asked {
			f.Notes = append(f.Notes, fmt.Sprintf("The file says its unit is %s; it was read in %s as asked.", own, asked))
		}
	case own != "":
		f.Unit = own
	default:
		f.Unit, f.UnitAssumed = Millimetre, true
		f.Notes = append(f.Notes, "The file has no unit; millimetres were assumed.")
	}
}

// scale brings the items to millimetres and refuses absurd sizes.
func (f *File) scale() error {
	factor := f.Unit.MM()
	for _, item := range f.Items {
		if factor != 1 {
			for i, v := range item.Mesh.Vertices {
				v.X, v.Y, v.Z = v.X*factor, v.Y*factor, v.Z*factor
				item.Mesh.Vertices[i] = v
			}
		}
		if err := checkSize(item.Mesh, f.Unit); err != nil {
			return err
		}
	}
	return nil
}

// noteSize remarks on a part too small or too large to be meant, and suggests
// a unit where none was given.
func (f *File) noteSize() {
	box := emptyBox()
	for _, item := range f.Items {
		b := item.Mesh.Bounds()
		box = box.extend(b.Min).extend(b.Max)
	}
	size := box.Size()
	side := max(size.X, size.Y, size.Z)
	if plausible(side) {
		return
	}
	note := fmt.Sprintf("The largest side is %s mm, which is hardly meant", short(side))
	if f.UnitAssumed {
		f.SuggestedUnit = suggestUnit(side)
	}
	if u := f.SuggestedUnit; u != "" {
		note += fmt.Sprintf("; read in %s it would be %s mm", u, short(side*u.MM()))
	} else {
		note += "; check the unit"
	}
	f.Notes = append(f.Notes, note+".")
}

func (f *File) hash(r io.ReaderAt, size int64) error {
	h := sha256.New()
	if _, err := io.CopyBuffer(h, io.NewSectionReader(r, 0, size), make([]byte, 1<<20)); err != nil {
		return fmt.Errorf("cannot be read to its end (%w); copy it again", err)
	}
	f.SHA256 = hex.EncodeToString(h.Sum(nil))
	return nil
}

// patientReader stops reading when the context ends, and where the file has become
// shorter than it was. Every reader of this package goes through it, so that none has
// to look for itself.
type patientReader struct {
	ctx  context.Context
	r    io.ReaderAt
	size int64
}

var errShorter = errors.New("it has become shorter while it was read")

func (p *patientReader) ReadAt(b []byte, off int64) (int, error) {
	if err := p.ctx.Err(); err != nil {
		return 0, err
	}
	n, err := p.r.ReadAt(b, off)
	if err == io.EOF && off+int64(n) < p.size {
		err = errShorter
	}
	return n, err
}

// base gives the file name for messages.
func (f *File) base() string { return shownBase(f.Path) }

// shownBase gives the last element of a path for messages.
func shownBase(path string) string { return PrintableName(filepath.Base(path)) }
