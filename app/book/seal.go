package book

import (
	"context"
	"crypto/sha256"
	"database/sql"
	"encoding/binary"
	"encoding/hex"
	"fmt"
	"hash"
	"math"
	"time"
)

// seal is a check sum over all that the book keeps of a firing, its number too: SQLite
// has none of its own, and a bit that turns over in a figure leaves the file in order.
func (f *Firing) seal() string {
	h := sha256.New()
	putAll(h, []any{&f.ID})
	putAll(h, f.fields())
	for i := range f.Sags {
		putAll(h, f.Sags[i].fields())
	}
	for i := range f.Readings {
		putAll(h, f.Readings[i].fields())
	}
	return hex.EncodeToString(h.Sum(nil))
}

// putAll adds what fields point to, with their number, so that none is taken for
// another.
func putAll(h hash.Hash, fields []any) {
	number := func(v uint64) { h.Write(binary.BigEndian.AppendUint64(nil, v)) }
	number(uint64(len(fields)))
	for _, field := range fields {
		switch v := field.(type) {
		case *string:
			number(uint64(len(*v)))
			h.Write([]byte(*v))
		case *float64:
			number(math.Float64bits(*v + 0)) // SQLite does not keep the sign of zero
		case *int64:
			number(uint64(*v))
		case *int:
			number(uint64(*v))
		case *bool:
			number(map[bool]uint64{true: 1}[*v])
		case *day:
			text := (*time.Time)(v).Format(time.DateOnly)
			h.Write([]byte(text))
		default:
			panic("a column of a kind that has no check sum")
		}
	}
}

// keepSeal writes the check sum of a firing that has just been written.
func keepSeal(ctx context.Context, tx *sql.Tx, f *Firing) error {
	_, err := tx.ExecContext(ctx, "UPDATE firing SET seal = ? WHERE id = ?", f.seal(), f.ID)
	return err
}

// sealAll gives every firing its check sum: after an upgrade.
func sealAll(ctx context.Context, tx *sql.Tx) error {
	all, err := read(ctx, tx, Filter{})
	if err != nil {
		return err
	}
	for i := range all {
		if err := keepSeal(ctx, tx, &all[i].Firing); err != nil {
			return err
		}
	}
	return nil
}

// alteredError says that a firing is not what was written.
type alteredError struct{ id int64 }

func (e *alteredError) Error() string {
	return fmt.Sprintf("firing %d is not as it was written", e.id)
}
