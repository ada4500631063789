package job

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"math"
	"strings"

	"gonum.org/v1/gonum/spatial/r3"

	"kilnpoise/mesh"
	"kilnpoise/orient"
	"kilnpoise/orient/support"
)

// decodeDocument reads the bytes of job.json, of this format or an older one.
func decodeDocument(data []byte) (*document, error) {
	data, err := upToDate(data)
	if err != nil {
		return nil, err
	}
	var d document
	if err := decodeStrict(data, &d); err != nil {
		return nil, fmt.Errorf("holds a fault in job.json (%w); take an earlier copy of the job", plainJSON(err))
	}
	return &d, nil
}

// decodeStrict reads one JSON value and refuses keys it does not know.
func decodeStrict(data []byte, into any) error {
	r := json.NewDecoder(bytes.NewReader(data))
	r.DisallowUnknownFields()
	if err := r.Decode(into); err != nil {
		return err
	}
	if _, err := r.Token(); !errors.Is(err, io.EOF) {
		return errors.New("more than one value")
	}
	return nil
}

// plainJSON says in words of the file, not of the language, what is wrong.
func plainJSON(err error) error {
	var kind *json.UnmarshalTypeError
	if errors.As(err, &kind) {
		return fmt.Errorf("%s holds a %s", kind.Field, kind.Value)
	}
	return errors.New(strings.TrimPrefix(err.Error(), "json: "))
}

// into fills in the job what job.json holds of it, and checks it.
func (d *document) into(j *Job) error {
	unit, err := mesh.ParseUnit(d.Part.Unit)
	if err != nil {
		return fmt.Errorf("holds a fault in job.json (%w); take an earlier copy of the job", err)
	}
	if d.Part.Item < AllItems {
		return fmt.Errorf("holds a fault in job.json (there is no build item %d); take an earlier copy of the job", d.Part.Item)
	}
	j.Program, j.Created, j.Saved = d.Program, inFile(d.Created), inFile(d.Saved)
	j.Part.Unit, j.Part.Item, j.Part.Demo = unit, d.Part.Item, d.Part.Demo
	c := &d.Choice
	for _, v := range []triple{c.Up, c.Down} {
		if v != (triple{}) && !pointsSomewhere(v.vec()) {
			return errors.New("holds a fault in job.json (the choice points nowhere); take an earlier copy of the job")
		}
	}
	j.Choice = Choice{
		Up: c.Up.vec(), Name: c.Name, AsPrinted: c.AsPrinted, Down: c.Down.vec(),
		LeftOut: each(c.LeftOut, seedEntry.seed), Supports: c.Supports, Blocks: c.Blocks, Raft: c.Raft,
	}
	j.Sheet = Sheet{
		Letter: d.Sheet.Letter, AtSinteredSize: d.Sheet.AtSinteredSize,
		Fields: each(d.Sheet.Fields, func(f fieldEntry) Field { return Field(f) }),
	}
	if err := d.Brief.into(&j.Brief); err != nil {
		return fmt.Errorf("holds a fault in job.json (%w); take an earlier copy of the job", err)
	}
	if j.Brief.Marks, err = d.Marks.kept(); err != nil {
		return fmt.Errorf("holds a fault in job.json (%w); take an earlier copy of the job", err)
	}
	j.Brief.Material.ID, j.Brief.Printer.ID, j.Brief.Furnace.ID = d.Records.Material, d.Records.Printer, d.Records.Furnace
	return nil
}

// into fills in the brief what stands in its part of job.json.
func (e *briefEntry) into(b *Brief) error {
	b.Priorities = orient.DefaultPriorities()
	left := len(e.Priorities)
	for _, p := range orient.AllPriorities() {
		w, ok := e.Priorities[p.Key()]
		if !ok {
			continue
		}
		if math.Abs(w) > 1e6 {
			return fmt.Errorf("a priority weighs %g", w)
		}
		b.Priorities[p] = w
		left--
	}
	if left > 0 {
		return errors.New("there is a priority that is not known")
	}
	if e.Candidates < 0 || e.Candidates > mostAsked || len(e.Directions) > mostAsked {
		return fmt.Errorf("%d candidates and %d directions are asked for", e.Candidates, len(e.Directions))
	}
	b.Directions = each(e.Directions, triple.vec)
	for i, d := range b.Directions {
		if !pointsSomewhere(d) {
			return fmt.Errorf("direction %d points nowhere", i+1)
		}
	}
	if c := e.Cutter; c != nil {
		b.Cutter = support.Cutter{DiameterMM: c.DiameterMM, LengthMM: c.LengthMM, HolderMM: c.HolderMM}
	}
	b.Candidates, b.OnlyGiven, b.Seed = e.Candidates, e.OnlyGiven, e.Seed
	return nil
}

// pointsSomewhere reports whether v can be made a unit vector.
func pointsSomewhere(v r3.Vec) bool {
	n := r3.Norm(v)
	return n > 1e-9 && n < 1e9
}
