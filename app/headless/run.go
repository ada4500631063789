package headless

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"time"

	"kilnpoise/app/handover"
	"kilnpoise/assets"
	"kilnpoise/mesh"
	"kilnpoise/orient"
	"kilnpoise/orient/process"
)

// Run does the job: it reads the part, works out the advice and writes what was
// asked for. The JSON goes to stdout where asked, progress and remarks to stderr.
// Errors are one clear line. The files take their places together at the end: on an
// error, or where ctx ends, the folder is as it was.
func Run(ctx context.Context, o Options, stdout, stderr io.Writer) error {
	begin := time.Now()
	say := &console{w: stderr}
	if !o.NoFurnace {
		if err := fitsMemory(o.FurnaceGrid, availableMemory()); err != nil {
			return err
		}
	}
	var file briefFile
	if o.Brief != "" {
		var err error
		if file, err = readBrief(o.Brief); err != nil {
			return err
		}
	}
	part, kept, err := o.read(ctx, say)
	if err != nil {
		return err
	}
	readTime := time.Since(begin)
	brief, err := o.brief(openLibrary(say), &file, part.Mesh, kept)
	if err != nil {
		return oneLine(err)
	}
	brief.Coupon = handover.CouponOf(part.SHA256)
	out, err := o.outlet(part)
	if err != nil {
		return err
	}
	defer out.drop()
	advice, err := o.advise(ctx, part, brief, say)
	if err != nil {
		return err
	}
	say.notes(advice.Notes)
	drawing := time.Now()
	var findings []string
	if !o.NoFiles && out.set != nil {
		if findings, err = out.writeFiles(ctx, advice, say); err != nil {
			return err
		}
	}
	report := orient.NewReport(advice)
	report.Part.Findings = append(report.Part.Findings, findings...)
	report.Elapsed.Read = readTime.Seconds()
	report.Elapsed.Pictures = time.Since(drawing).Seconds()
	report.SetTotal(begin)
	if err := out.finish(ctx, report); err != nil {
		return err
	}
	say.verdict(advice)
	if !o.NoFiles && out.set != nil {
		say.warn(advice)
	}
	if o.JSON {
		if err := report.Write(stdout); err != nil {
			return fmt.Errorf("the advice cannot be written to standard output: %w", err)
		}
	}
	return nil
}

// advise works out the advice with all that was asked for.
func (o *Options) advise(ctx context.Context, part *mesh.Part, brief orient.Brief, say *console) (*orient.Advice, error) {
	advice, err := orient.Advise(ctx, part, brief, say.progress)
	if err != nil {
		return nil, err
	}
	if !o.NoFurnace {
		if advice, err = advice.Fire(ctx, orient.FiringOptions{Elements: o.FurnaceGrid, Friction: o.Friction}, say.progress); err != nil {
			return nil, err
		}
	}
	return advice.PlanSupports(ctx, say.progress)
}

// read reads the part, or the demo part; of a job also the brief, else nil.
func (o *Options) read(ctx context.Context, say *console) (*mesh.Part, *orient.Brief, error) {
	if isJob(o.Part) {
		return o.readJob(ctx, say)
	}
	part, err := o.readPart(ctx, say)
	return part, nil, err
}

func (o *Options) readPart(ctx context.Context, say *console) (*mesh.Part, error) {
	file, err := o.open(ctx)
	if err != nil {
		return nil, err
	}
	say.notes(file.Notes)
	var items []int
	switch {
	case o.Item > len(file.Items):
		return nil, fmt.Errorf("--item %d: %s has %d build items", o.Item, filepath.Base(file.Path), len(file.Items))
	case o.Item > 0:
		items = []int{o.Item - 1}
	case len(file.Items) > 1:
		say.line("%s has %d build items; they are taken as one part. Choose one with --item.", filepath.Base(file.Path), len(file.Items))
	}
	part, err := file.Part(ctx, items...)
	if err != nil {
		return nil, err
	}
	say.notes(part.Health.Findings)
	say.notes(part.Health.Repairs)
	return part, nil
}

func (o *Options) open(ctx context.Context) (*mesh.File, error) {
	options := mesh.ReadOptions{Unit: o.Unit}
	demo, builtIn := assets.DefaultPart(), o.Part == ""
	if !builtIn {
		demo, builtIn = assets.PartNamed(o.Part)
		builtIn = builtIn && absent(o.Part) // a file goes before a part of its name
	}
	if !builtIn {
		return mesh.ReadFile(ctx, o.Part, options)
	}
	data, err := demo.Mesh()
	if err != nil {
		return nil, err
	}
	if options.Unit == "" {
		options.Unit = mesh.Millimetre // the demo parts are made in mm: nothing to assume
	}
	return mesh.Read(ctx, demo.File, bytes.NewReader(data), int64(len(data)), options)
}

// absent reports whether there is surely nothing at a path.
func absent(path string) bool {
	_, err := os.Lstat(path)
	return errors.Is(err, fs.ErrNotExist)
}

// openLibrary opens the records and says what was wrong with the user's own, a line
// for each file.
func openLibrary(say *console) *process.Library {
	folder, err := process.UserFolder()
	if err != nil {
		folder = "" // no home folder, no records of one's own: the built-in ones do
	}
	library := process.OpenLibrary(assets.Records(), folder)
	for _, problem := range separate(library.Problems()) {
		say.line("%v", oneLine(problem))
	}
	return library
}

// separate gives the errors that were joined, one by one.
func separate(err error) []error {
	joined, ok := err.(interface{ Unwrap() []error })
	if !ok {
		if err == nil {
			return nil
		}
		return []error{err}
	}
	var out []error
	for _, e := range joined.Unwrap() {
		out = append(out, separate(e)...)
	}
	return out
}

// outlet is the way out of a run: a set of files, or none.
type outlet struct {
	options *Options
	set     *handover.Set
	name    string
}

// outlet makes ready for what is to be written, and finds what would keep it from
// being written before any work is done.
func (o *Options) outlet(part *mesh.Part) (*outlet, error) {
	out := &outlet{options: o, name: handover.FileName(part.Name)}
	if o.Out == "" {
		return out, nil
	}
	var err error
	if out.set, err = handover.Begin(o.Out, out.name, o.inputs()...); err != nil {
		return nil, err
	}
	look, err := out.set.Look(out.sure()...)
	if err == nil && len(look.InTheWay) > 0 && !o.Force {
		err = &handover.InTheWayError{Folder: o.Out, Files: look.InTheWay}
	}
	if err != nil {
		out.drop()
		return nil, err
	}
	return out, nil
}

// inputs are the files that were given to work on.
func (o *Options) inputs() []string {
	var out []string
	for _, path := range []string{o.Part, o.Brief, o.Material, o.Printer, o.Furnace} {
		if path != "" {
			out = append(out, path)
		}
	}
	return out
}

// sure are the files that are written whatever the advice is.
func (out *outlet) sure() []string {
	files := []string{adviceFile}
	if out.options.NoFiles {
		return files
	}
	size := "-green"
	if out.options.SinteredSize {
		size = "-turned"
	}
	return append(files, pictureFile(1), out.name+size+".3mf", out.name+size+".stl", out.name+"-sheet.pdf")
}

// finish puts all files in their places; advice.json is written before, so that what
// cannot be told in it keeps the others from their places too.
func (out *outlet) finish(ctx context.Context, r orient.Report) error {
	if out.set == nil {
		return ctx.Err()
	}
	err := mesh.WriteFileWhole(filepath.Join(out.set.Stage(), adviceFile), r.Write)
	if errors.As(err, new(*json.UnsupportedValueError)) {
		return errors.New("a measure of this part came out as no number, so nothing is handed over; please report it with the part")
	}
	if err != nil {
		return err
	}
	if err := ctx.Err(); err != nil {
		return err
	}
	_, err = out.set.Put(out.options.Force)
	return err
}

func (out *outlet) drop() {
	if out.set != nil {
		out.set.Drop()
	}
}

// oneLine makes one line of an error that joins several, as those of a record do:
// with semicolons between.
func oneLine(err error) error {
	if err == nil || !strings.Contains(err.Error(), "\n") {
		return err
	}
	return &joinedError{err}
}

type joinedError struct{ error }

func (e *joinedError) Error() string { return strings.ReplaceAll(e.error.Error(), "\n", "; ") }

func (e *joinedError) Unwrap() error { return e.error }
