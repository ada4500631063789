package job

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"math"
	"strings"
	"time"

	"gonum.org/v1/gonum/spatial/r3"

	"kilnpoise/mesh"
	"kilnpoise/orient"
	"kilnpoise/orient/support"
)

// Format is the format of job files that this program writes.
const Format = 1

// document is job.json.
type document struct {
	Format  int         `json:"format"`
	Program string      `json:"program"`
	Created time.Time   `json:"created,omitzero"`
	Saved   time.Time   `json:"saved,omitzero"`
	Part    partEntry   `json:"part"`
	Records recordIDs   `json:"records"`
	Brief   briefEntry  `json:"brief"`
	Marks   marksEntry  `json:"marks"`
	Choice  choiceEntry `json:"choice"`
	Sheet   sheetEntry  `json:"sheet"`
}

type partEntry struct {
	SHA256 string `json:"sha256"`
	Size   int64  `json:"size"`
	Unit   string `json:"unit,omitempty"`
	Item   int    `json:"item"`
	Demo   string `json:"demo,omitempty"`
}

type recordIDs struct {
	Material string `json:"material"`
	Printer  string `json:"printer"`
	Furnace  string `json:"furnace"`
}

type briefEntry struct {
	Priorities map[string]float64 `json:"priorities"`
	Directions []triple           `json:"directions,omitempty"`
	Cutter     *cutterEntry       `json:"cutter,omitempty"`
	Candidates int                `json:"candidates,omitempty"`
	OnlyGiven  bool               `json:"only_given,omitempty"`
	Seed       uint64             `json:"seed,omitempty"`
}

type cutterEntry struct {
	DiameterMM float64 `json:"diameter_mm"`
	LengthMM   float64 `json:"length_mm"`
	HolderMM   float64 `json:"holder_mm"`
}

type choiceEntry struct {
	Up        triple      `json:"up,omitzero"`
	Name      string      `json:"name,omitempty"`
	AsPrinted bool        `json:"as_printed,omitempty"`
	Down      triple      `json:"down,omitzero"`
	LeftOut   []seedEntry `json:"left_out,omitempty"`
	Supports  bool        `json:"supports,omitempty"`
	Blocks    bool        `json:"blocks,omitempty"`
	Raft      bool        `json:"raft,omitempty"`
}

type sheetEntry struct {
	Letter         bool         `json:"letter,omitempty"`
	AtSinteredSize bool         `json:"at_sintered_size,omitempty"`
	Fields         []fieldEntry `json:"fields,omitempty"`
}

type fieldEntry struct {
	Key  string `json:"key"`
	Text string `json:"text"`
}

// triple is a place or a direction.
type triple [3]float64

func tripleOf(v r3.Vec) triple { return triple{v.X, v.Y, v.Z} }

func (t triple) vec() r3.Vec { return r3.Vec{X: t[0], Y: t[1], Z: t[2]} }

// pointsSomewhere reports whether v can be made a unit vector.
func pointsSomewhere(v r3.Vec) bool {
	n := r3.Norm(v)
	return n > 1e-9 && n < 1e9
}

// UnmarshalJSON wants three numbers; a plain array would take two or four.
func (t *triple) UnmarshalJSON(data []byte) error {
	var list []float64
	if err := json.Unmarshal(data, &list); err != nil {
		return err
	}
	if len(list) != 3 {
		return fmt.Errorf("a place or direction has %d numbers in place of 3", len(list))
	}
	*t = triple(list)
	return nil
}

// each makes a list of another; an empty one becomes nil.
func each[A, B any](list []A, of func(A) B) []B {
	if len(list) == 0 {
		return nil
	}
	out := make([]B, len(list))
	for i, a := range list {
		out[i] = of(a)
	}
	return out
}

// documentOf puts a job in the form of job.json.
func documentOf(j *Job) *document {
	b, c := &j.Brief, &j.Choice
	d := &document{
		Format: Format, Program: j.Program, Created: inFile(j.Created), Saved: inFile(j.Saved),
		Part: partEntry{
			SHA256: j.Part.Content.SHA256(), Size: j.Part.Content.Size(), Unit: string(j.Part.Unit), Item: j.Part.Item, Demo: j.Part.Demo,
		},
		Records: recordIDs{b.Material.ID, b.Printer.ID, b.Furnace.ID},
		Brief: briefEntry{
			Priorities: map[string]float64{}, Directions: each(b.Directions, tripleOf),
			Candidates: b.Candidates, OnlyGiven: b.OnlyGiven, Seed: b.Seed,
		},
		Marks: marksOf(&b.Marks),
		Choice: choiceEntry{
			Up: tripleOf(c.Up), Name: c.Name, AsPrinted: c.AsPrinted, Down: tripleOf(c.Down),
			LeftOut: each(c.LeftOut, seedOf), Supports: c.Supports, Blocks: c.Blocks, Raft: c.Raft,
		},
		Sheet: sheetEntry{
			Letter: j.Sheet.Letter, AtSinteredSize: j.Sheet.AtSinteredSize,
			Fields: each(j.Sheet.Fields, func(f Field) fieldEntry { return fieldEntry(f) }),
		},
	}
	for _, p := range orient.AllPriorities() {
		d.Brief.Priorities[p.Key()] = b.Priorities[p]
	}
	if cut := b.Cutter; cut != (support.Cutter{}) {
		d.Brief.Cutter = &cutterEntry{cut.DiameterMM, cut.LengthMM, cut.HolderMM}
	}
	return d
}

// encode gives the bytes of job.json.
func (d *document) encode() ([]byte, error) { return encodeJSON(d) }

func encodeJSON(v any) ([]byte, error) {
	data, err := json.MarshalIndent(v, "", " ")
	if err != nil {
		return nil, fmt.Errorf("something in the job is no number (%w); undo the last step", err)
	}
	return append(data, '\n'), nil
}

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
