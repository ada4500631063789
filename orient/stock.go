package orient

import (
	"context"
	"fmt"
	"reflect"

	"gonum.org/v1/gonum/spatial/r3"

	"kilnpoise/mesh"
	"kilnpoise/orient/mark"
)

// withStock gives the study of the part with the stock that the brief marks, s
// itself where it is that, and the brief as it is on it: everything is measured on
// the part as it is printed.
func (s *Study) withStock(ctx context.Context, b Brief) (*Study, Brief, error) {
	if !s.has(b.Marks.Stock) {
		part, err := stocked(ctx, s.asRead(), b.Marks.Stock)
		if err != nil {
			return nil, b, err
		}
		read := s.asRead()
		if s, err = NewStudy(ctx, part); err != nil {
			return nil, b, err
		}
		s.read, s.stock = read, b.Marks.Stock
	}
	b.Marks = b.Marks.OnStock(s.part.Mesh)
	return s, b, nil
}

// stocked gives the part with stock on it, itself where there is none.
func stocked(ctx context.Context, part *mesh.Part, stock []mark.Stock) (*mesh.Part, error) {
	if len(stock) == 0 {
		return part, nil
	}
	m, err := mark.AddStock(ctx, part.Mesh, stock)
	if err != nil {
		return nil, err
	}
	with := *part
	with.Mesh = m
	return &with, nil
}

// has reports whether the part has that stock and no other.
func (s *Study) has(stock []mark.Stock) bool {
	return len(s.stock) == len(stock) && (len(stock) == 0 || reflect.DeepEqual(s.stock, stock))
}

// asRead gives the part without stock.
func (s *Study) asRead() *mesh.Part {
	if s.read != nil {
		return s.read
	}
	return s.part
}

// AsRead gives the part as it was read; Part has the stock of the brief on it.
func (a *Advice) AsRead() *mesh.Part {
	if a.study == nil {
		return a.Part
	}
	return a.study.asRead()
}

// stockNotes says what is on the part beside what was read.
func stockNotes(stock []mark.Stock) []string {
	var out []string
	for i := range stock {
		out = append(out, StockWords(&stock[i], i)+": it is printed with that, all is measured so, and it is machined off after sintering")
	}
	return out
}

// StockWords tells one stock, the i-th of the part from 0, by its size and face.
func StockWords(s *mark.Stock, i int) string {
	return fmt.Sprintf("%s: %.2f mm of stock on %s", StockName(s, i), s.MM, stockFace(s))
}

// StockName gives one stock, the i-th of the part from 0, a name.
func StockName(s *mark.Stock, i int) string {
	if s.Name != "" {
		return s.Name
	}
	return fmt.Sprintf("stock %d", i+1)
}

func stockFace(s *mark.Stock) string {
	switch b := &s.On.Bore; {
	case !s.On.Round:
		return "a flat face"
	case b.Inside:
		return fmt.Sprintf("the bore of %.2f mm, printed as %.2f mm", b.DiameterMM, b.DiameterMM-2*s.MM)
	default:
		return fmt.Sprintf("the pin of %.2f mm, printed as %.2f mm", b.DiameterMM, b.DiameterMM+2*s.MM)
	}
}

// StockReport is one face to be machined, as written to JSON.
type StockReport struct {
	Name string  `json:"name"`
	MM   float64 `json:"mm"`
	// Face is flat, bore or pin; FinishedDiameterMM is that of the latter.
	Face               string  `json:"face"`
	FinishedDiameterMM float64 `json:"finished_diameter_mm,omitempty"`
	// AtMM is the middle of the face, part frame.
	AtMM Triple `json:"at_mm"`
}

func stockReports(stock []mark.Stock) []StockReport {
	var out []StockReport
	for _, s := range stock {
		r := StockReport{Name: s.Name, MM: s.MM, Face: "flat", AtMM: triple(s.On.At())}
		if s.On.Round {
			r.Face, r.FinishedDiameterMM = "pin", s.On.Bore.DiameterMM
			if s.On.Bore.Inside {
				r.Face = "bore"
			}
		}
		out = append(out, r)
	}
	return out
}

// GreenAt gives where a place of the part lies on the green part of the candidate,
// print frame.
func (a *Advice) GreenAt(c *Candidate, p r3.Vec) r3.Vec {
	at := c.Pose.linear().MulVec(p)
	if a.study == nil {
		return at
	}
	return r3.Add(at, standingShift(c.Pose, a.study.full.hull))
}
