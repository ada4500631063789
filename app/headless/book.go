package headless

import (
	"context"
	"errors"
	"fmt"
	"io"
	"path/filepath"
	"strings"
	"text/tabwriter"
	"time"

	"github.com/spf13/pflag"

	"kilnpoise/app/book"
	"kilnpoise/mesh"
	"kilnpoise/mesh/regular"
)

// Book says which firing book the commands about it use.
type Book struct {
	// Path is the file; "" is the user's own.
	Path string
	// Material and Furnace choose firings by record; "" is all.
	Material, Furnace string
}

// AddFlags adds the options to a set of flags.
func (o *Book) AddFlags(f *pflag.FlagSet) {
	f.StringVar(&o.Path, "book", "", "file of the firing book (default: your own, beside your records)")
}

// AddFilterFlags adds those that choose firings.
func (o *Book) AddFilterFlags(f *pflag.FlagSet) {
	f.StringVar(&o.Material, "material", "", "only firings of this material record")
	f.StringVar(&o.Furnace, "furnace", "", "only firings in the furnace of this record")
}

// open opens the book and says what opening it did.
func (o *Book) open(ctx context.Context, say *console) (*book.Book, error) {
	path := o.Path
	if path == "" {
		var err error
		if path, err = book.UserFile(); err != nil {
			return nil, err
		}
	}
	b, err := book.Open(ctx, path)
	if err != nil {
		return nil, err
	}
	say.notes(b.Notes())
	return b, nil
}

// filter is what the flags choose; IDs of records are in small letters.
func (o *Book) filter() book.Filter {
	return book.Filter{Material: strings.ToLower(o.Material), Furnace: strings.ToLower(o.Furnace)}
}

// chosen gives the firings that the flags choose; none is an error that says what
// there is.
func (o *Book) chosen(ctx context.Context, b *book.Book) ([]book.Firing, error) {
	firings, err := b.List(ctx, o.filter())
	if err != nil || len(firings) > 0 {
		return firings, err
	}
	pairs, err := b.Pairs(ctx)
	if err != nil {
		return nil, err
	}
	if len(pairs) == 0 {
		return nil, fmt.Errorf("the firing book %s is empty; enter a firing with book add", b.Path())
	}
	var there []string
	for _, p := range pairs {
		there = append(there, strings.TrimSpace(fmt.Sprintf("%s in %s", p.Material, orDash(p.Furnace))))
	}
	return nil, fmt.Errorf("there is no such firing; there are: %s", strings.Join(there, ", "))
}

func orDash(s string) string {
	if s == "" {
		return "-"
	}
	return s
}

// List writes a line for each firing, the oldest first.
func (o *Book) List(ctx context.Context, stdout, stderr io.Writer) error {
	b, err := o.open(ctx, &console{w: stderr})
	if err != nil {
		return err
	}
	defer b.Close()
	firings, err := b.List(ctx, o.filter())
	if err != nil {
		return err
	}
	w := tabwriter.NewWriter(stdout, 0, 0, 2, ' ', 0)
	fmt.Fprintln(w, "no.\tdate\tmaterial\tfurnace\trun\tpart\treadings\tsags\tremarks")
	for _, f := range firings {
		remark, _, _ := strings.Cut(f.Remarks, "\n")
		fmt.Fprintf(w, "%d\t%s\t%s\t%s\t%s\t%s\t%d of %d\t%d\t%s\n", f.ID, f.Date.Format(time.DateOnly), f.Material, orDash(f.Furnace), orDash(f.Run), orDash(f.Part),
			len(book.Readings([]book.Firing{f})), len(f.Readings), len(f.Sags), remark)
	}
	return w.Flush()
}

// Export writes the table of the firings to the file out, whole or not at all, or
// to stdout for "-".
func (o *Book) Export(ctx context.Context, out string, stdout, stderr io.Writer) error {
	b, err := o.open(ctx, &console{w: stderr})
	if err != nil {
		return err
	}
	defer b.Close()
	firings, err := o.chosen(ctx, b)
	if err != nil {
		return err
	}
	if out == "-" {
		return book.Export(stdout, firings)
	}
	if err := b.MayWriteTo(out); err != nil {
		return err
	}
	if err := mesh.WriteFileWhole(out, func(w io.Writer) error { return book.Export(w, firings) }); err != nil {
		return err
	}
	fmt.Fprintf(stderr, "%d firings written to %s\n", len(firings), out)
	return nil
}

// Import reads a table into the book.
func (o *Book) Import(ctx context.Context, path string, stdout, stderr io.Writer) error {
	f, _, err := regular.Open(path, book.LargestTable)
	if err != nil {
		return fmt.Errorf("the table %s cannot be read: %w", filepath.Base(path), err)
	}
	defer f.Close()
	b, err := o.open(ctx, &console{w: stderr})
	if err != nil {
		return err
	}
	defer b.Close()
	added, known, err := b.Import(ctx, f)
	var at *book.LineError
	if errors.As(err, &at) {
		return fmt.Errorf("%s, %w", path, err)
	}
	if err != nil {
		return err
	}
	fmt.Fprintf(stdout, "%d firings added, %d were in the book already\n", len(added), len(known))
	return nil
}

// Remove takes a firing out of the book, and writes it to stdout as the table it
// can be read back from.
func (o *Book) Remove(ctx context.Context, id int64, stdout, stderr io.Writer) error {
	b, err := o.open(ctx, &console{w: stderr})
	if err != nil {
		return err
	}
	defer b.Close()
	f, err := b.Remove(ctx, id)
	if err != nil {
		return err
	}
	fmt.Fprintf(stderr, "firing %d removed; the table on standard output brings it back with book import\n", id)
	return book.Export(stdout, []book.Firing{f})
}
