package job

import (
	"bytes"
	"compress/flate"
	"context"
	"crypto/sha256"
	"encoding/hex"
	"sync"

	"kilnpoise/mesh"
)

// Content is what a file holds, with its hash. It is never changed and may be
// used by several goroutines at once. A nil *Content is empty.
type Content struct {
	data   []byte
	sum    string
	onDisk int64 // how many bytes it takes in the file that it was unpacked from

	packing sync.Mutex
	done    bool   // packed has been worked out
	packed  []byte // deflated; nil where it is better stored
}

// NewContent takes data over; it must not be changed afterwards.
func NewContent(data []byte) *Content {
	sum := sha256.Sum256(data)
	return &Content{data: data, sum: hex.EncodeToString(sum[:])}
}

// Size gives the number of bytes.
func (c *Content) Size() int64 { return int64(len(c.Bytes())) }

// OnDisk gives the number of bytes that it took, packed, in the file that it comes
// from; 0 where it was not packed.
func (c *Content) OnDisk() int64 {
	if c == nil {
		return 0
	}
	return c.onDisk
}

// SHA256 gives the hash in hex.
func (c *Content) SHA256() string {
	if c == nil {
		return NewContent(nil).sum
	}
	return c.sum
}

// Bytes gives the bytes themselves, which must not be changed.
func (c *Content) Bytes() []byte {
	if c == nil {
		return nil
	}
	return c.data
}

// Reader gives a reader at the beginning.
func (c *Content) Reader() *bytes.Reader { return bytes.NewReader(c.Bytes()) }

// Equal reports whether both hold the same, by their hashes.
func (c *Content) Equal(o *Content) bool { return c.SHA256() == o.SHA256() }

// pack gives the bytes deflated, or nil where they are to be stored as they are.
// It is worked out once, so that saving a large part again costs only writing.
// The fast level packs meshes nearly as well as the slow one.
func (c *Content) pack(ctx context.Context, p *packer) ([]byte, error) {
	c.packing.Lock()
	defer c.packing.Unlock()
	if c.done {
		return c.packed, nil
	}
	packed, err := p.deflate(ctx, c.data)
	if err != nil {
		return nil, err
	}
	if worthPacking(len(c.data), len(packed)) {
		c.packed = packed
	}
	c.done = true
	return c.packed, nil
}

// readingTimes is how many times its own size nearly any part file fills of the
// memory that may be taken for reading it, with the file itself counted twice
// (judgement: a closed surface as OBJ with few digits fills six times its size).
const readingTimes = 8

// worthPacking says whether an entry is deflated. Where little is gained it is
// not; nor where it would pack so tightly that reading would take it for a zip
// bomb (see mostTimes), or the part in it for one that unfolds to too much (see
// mesh.ReadOptions): what was saved can be read.
func worthPacking(size, packed int) bool {
	n, p := int64(size), int64(packed)
	return packed < size-size/16 && n <= (mostTimes-1)*p+freeUnpacked/2 && readingTimes*n <= 4*p+mesh.ReadingMemory
}

// packer deflates one entry after another; its tables take a megabyte.
type packer struct{ w *flate.Writer }

// deflate packs data, looking at ctx on the way.
func (p *packer) deflate(ctx context.Context, data []byte) ([]byte, error) {
	const piece = 1 << 20
	var out bytes.Buffer
	if p.w == nil {
		w, err := flate.NewWriter(nil, flate.BestSpeed)
		if err != nil {
			return nil, err
		}
		p.w = w
	}
	w := p.w
	w.Reset(&out)
	for len(data) > 0 {
		if err := ctx.Err(); err != nil {
			return nil, err
		}
		n := min(piece, len(data))
		if _, err := w.Write(data[:n]); err != nil {
			return nil, err
		}
		data = data[n:]
	}
	err := w.Close()
	return out.Bytes(), err
}
