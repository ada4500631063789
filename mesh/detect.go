package mesh

import (
	"bytes"
	"context"
	"encoding/binary"
	"errors"
	"fmt"
	"io"
	"path/filepath"
	"strings"
)

// fileFormat names a format as File.Format shows it.
type fileFormat string

const (
	formatSTLBinary fileFormat = "STL binary"
	formatSTLText   fileFormat = "STL text"
	format3MF       fileFormat = "3MF"
	formatOBJ       fileFormat = "OBJ"
)

// read runs the reader of the format.
func (f fileFormat) read(ctx context.Context, r io.ReaderAt, size int64, room *room) (content, error) {
	switch f {
	case formatSTLBinary:
		return readSTLBinary(r, size, room)
	case formatSTLText:
		return readSTLText(ctx, r, size, room)
	case formatOBJ:
		return readOBJ(ctx, r, size, room)
	}
	return read3MF(ctx, r, size, room)
}

// byteOrderMark begins texts of some programs, as UTF-8.
const byteOrderMark = "\xef\xbb\xbf"

// detect tells the format by the content, and by the extension only where the
// content leaves a doubt. The note says when the two disagree.
func detect(name string, r io.ReaderAt, size int64) (fileFormat, []string, error) {
	if size == 0 {
		return "", nil, errors.New("the file is empty; export the part again")
	}
	head := make([]byte, min(size, 4096))
	if _, err := io.ReadFull(io.NewSectionReader(r, 0, size), head); err != nil {
		return "", nil, fmt.Errorf("cannot be read (%w); copy it again", err)
	}
	ext := strings.ToLower(filepath.Ext(name))
	format := byContent(head, size)
	if format == "" {
		format = byExtension(ext, head, size)
	}
	if format == "" {
		return "", nil, errors.New("is neither STL, 3MF nor OBJ; export the part in one of these")
	}
	want := map[string]string{".stl": "STL", ".3mf": "3MF", ".obj": "OBJ"}[ext]
	if want != "" && !strings.HasPrefix(string(format), want) {
		return format, []string{fmt.Sprintf("The file is called %s but holds %s, and was read as that.", ext, format)}, nil
	}
	return format, nil, nil
}

// byContent names the format where the first bytes and the size are proof.
func byContent(head []byte, size int64) fileFormat {
	switch {
	case bytes.HasPrefix(head, []byte("PK\x03\x04")):
		return format3MF
	case size >= stlHeaderSize && size == stlSize(stlCount(head)):
		return formatSTLBinary // wins over "solid": many binary files begin so
	case isSTLText(head):
		return formatSTLText
	case isOBJ(head):
		return formatOBJ
	case holdsFacet(head):
		return formatSTLText
	}
	return ""
}

// byExtension believes the name for files whose content is damaged.
func byExtension(ext string, head []byte, size int64) fileFormat {
	switch {
	case ext == ".3mf":
		return format3MF
	case ext == ".obj":
		return formatOBJ
	case ext == ".stl" && !bytes.ContainsRune(head, 0):
		return formatSTLText
	case ext == ".stl":
		return formatSTLBinary
	case size >= stlHeaderSize && bytes.ContainsRune(head, 0) && stlSize(stlCount(head)) <= size && stlCount(head) > 0:
		return formatSTLBinary
	}
	return ""
}

// startsSolid reports whether the text begins as a text STL does.
func startsSolid(head []byte) bool {
	text := bytes.TrimLeft(bytes.TrimPrefix(head, []byte(byteOrderMark)), " \t\r\n")
	return len(text) >= 5 && strings.EqualFold(string(text[:5]), "solid")
}

// isSTLText asks for one more keyword of the format, since binary files may
// begin with "solid" too.
func isSTLText(head []byte) bool {
	if !startsSolid(head) || bytes.ContainsRune(head, 0) {
		return false
	}
	lower := bytes.ToLower(head)
	return bytes.Contains(lower, []byte("facet")) || bytes.Contains(lower, []byte("endsolid"))
}

// holdsFacet finds a facet of a text STL behind remarks, or outside any solid.
func holdsFacet(head []byte) bool {
	words := bytes.Fields(bytes.ToLower(head))
	for i, word := range words {
		if string(word) == "facet" && i+6 < len(words) && string(words[i+1]) == "normal" && string(words[i+5]) == "outer" && string(words[i+6]) == "loop" {
			return !bytes.ContainsRune(head, 0)
		}
	}
	return false
}

// isOBJ looks for a line that only an OBJ file has.
func isOBJ(head []byte) bool {
	if bytes.ContainsRune(head, 0) {
		return false
	}
	head = bytes.TrimPrefix(head, []byte(byteOrderMark))
	for line := range bytes.FieldsFuncSeq(head, func(r rune) bool { return r == '\n' || r == '\r' }) {
		switch key, rest, _ := strings.Cut(strings.TrimSpace(string(line)), " "); key {
		case "v", "vn", "vt":
			return strings.TrimSpace(rest) != ""
		case "", "o", "g", "s", "f", "usemtl", "mtllib":
		default:
			if !strings.HasPrefix(key, "#") {
				return false
			}
		}
	}
	return false
}

const (
	stlHeaderSize = 84 // text, then the number of facets
	stlFacetSize  = 50 // normal, three corners, two bytes of attributes
)

// stlCount reads the number of facets that a binary STL header states.
func stlCount(head []byte) uint32 {
	if len(head) < stlHeaderSize {
		return 0
	}
	return binary.LittleEndian.Uint32(head[stlHeaderSize-4:])
}

// stlSize gives the size of a binary STL of n facets.
func stlSize(n uint32) int64 { return stlHeaderSize + stlFacetSize*int64(n) }
