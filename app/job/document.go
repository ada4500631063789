package job

import (
	"encoding/json"
	"fmt"
	"time"

	"gonum.org/v1/gonum/spatial/r3"

	"kilnpoise/orient"
	"kilnpoise/orient/support"
)

// Format is the format of job files that this program writes.
const Format = 2

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
