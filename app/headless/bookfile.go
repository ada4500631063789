package headless

import (
	"errors"
	"fmt"
	"path/filepath"
	"time"

	"github.com/pelletier/go-toml/v2"
	"gonum.org/v1/gonum/spatial/r3"

	"kilnpoise/app/book"
	"kilnpoise/app/tomlfile"
	"kilnpoise/mesh/regular"
)

// firingFile is a firing as it is written in a TOML file.
type firingFile struct {
	Date              any             `toml:"date"`
	Material          string          `toml:"material"`
	Furnace           string          `toml:"furnace"`
	Run               string          `toml:"run"`
	Part              string          `toml:"part"`
	PartSHA256        string          `toml:"part_sha256"`
	Job               string          `toml:"job"`
	Peak              string          `toml:"peak"`
	Remarks           string          `toml:"remarks"`
	GreenMassG        float64         `toml:"green_mass_g"`
	SinteredMassG     float64         `toml:"sintered_mass_g"`
	GreenVolumeMM3    float64         `toml:"green_volume_mm3"`
	SinteredVolumeMM3 float64         `toml:"sintered_volume_mm3"`
	Rotation          *[3][3]float64  `toml:"rotation"`
	Readings          []readingInFile `toml:"reading"`
	Sags              []sagInFile     `toml:"sag"`
}

// readingInFile names a direction in the print frame, or one in the part frame that
// the rotation of the file turns there.
type readingInFile struct {
	Name              string     `toml:"name"`
	Part              [3]float64 `toml:"part_direction"`
	Print             [3]float64 `toml:"print_direction"`
	Across            string     `toml:"across"`
	GreenNominalMM    float64    `toml:"green_nominal_mm"`
	GreenMM           float64    `toml:"green_mm"`
	SinteredNominalMM float64    `toml:"sintered_nominal_mm"`
	SinteredMM        float64    `toml:"sintered_mm"`
	Instrument        string     `toml:"instrument"`
	ErrorMM           float64    `toml:"uncertainty_mm"`
	GreenErrorMM      float64    `toml:"green_uncertainty_mm"`
	LeftOut           bool       `toml:"left_out"`
}

type sagInFile struct {
	Hold        string  `toml:"hold"`
	SpanMM      float64 `toml:"span_mm"`
	ThicknessMM float64 `toml:"thickness_mm"`
	SagMM       float64 `toml:"sag_mm"`
}

// largestFiring is far above any firing: ten thousand readings.
const largestFiring = 8 << 20

// readFiring reads a firing from a TOML file; a key it does not know is an error
// with its line.
func readFiring(path string) (book.Firing, error) {
	var out book.Firing
	name := filepath.Base(path)
	data, err := regular.Read(path, largestFiring)
	if err != nil {
		return out, fmt.Errorf("the firing %s cannot be read: %w", name, err)
	}
	var file firingFile
	if err := tomlfile.Decode(data, &file, "the keys are the columns of book export"); err != nil {
		return out, fmt.Errorf("%s: %w", name, err)
	}
	out = book.Firing{
		Material: file.Material, Furnace: file.Furnace, Run: file.Run, Part: file.Part, PartSHA256: file.PartSHA256, Job: file.Job,
		Peak: file.Peak, Remarks: file.Remarks, GreenMassG: file.GreenMassG, SinteredMassG: file.SinteredMassG,
		GreenVolumeMM3: file.GreenVolumeMM3, SinteredVolumeMM3: file.SinteredVolumeMM3,
	}
	if out.Date, err = dayOf(file.Date); err != nil {
		return out, fmt.Errorf("%s: %w", name, err)
	}
	for i, r := range file.Readings {
		reading, err := r.reading(file.Rotation)
		if err != nil {
			return out, fmt.Errorf("%s, reading no. %d: %w", name, i+1, err)
		}
		out.Readings = append(out.Readings, reading)
	}
	for i, s := range file.Sags {
		hold, err := book.ParseHold(s.Hold)
		if err != nil {
			return out, fmt.Errorf("%s, sag no. %d: %w", name, i+1, err)
		}
		out.Sags = append(out.Sags, book.Sag{Hold: hold, SpanMM: s.SpanMM, ThicknessMM: s.ThicknessMM, SagMM: s.SagMM})
	}
	return out, nil
}

// dayOf takes a date with or without quotes.
func dayOf(v any) (time.Time, error) {
	text := fmt.Sprint(v)
	switch d := v.(type) {
	case nil:
		return time.Time{}, nil
	case time.Time:
		return book.Day(d), nil
	case toml.LocalDate:
		text = d.String()
	}
	t, err := time.Parse(time.DateOnly, text)
	if err != nil {
		return t, fmt.Errorf("date %s: write year-month-day, such as 2026-03-02", text)
	}
	return t, nil
}

func (r readingInFile) reading(rotation *[3][3]float64) (book.Reading, error) {
	out := book.Reading{
		Name: r.Name, PartDirection: vector(r.Part), PrintDirection: vector(r.Print), GreenNominalMM: r.GreenNominalMM, GreenMM: r.GreenMM,
		SinteredNominalMM: r.SinteredNominalMM, SinteredMM: r.SinteredMM, Instrument: r.Instrument, ErrorMM: r.ErrorMM,
		GreenErrorMM: r.GreenErrorMM, LeftOut: r.LeftOut,
	}
	if out.PrintDirection == (r3.Vec{}) && rotation != nil {
		out.PrintDirection = book.InPrintFrame(*rotation, out.PartDirection)
	}
	if out.PrintDirection == (r3.Vec{}) {
		return out, errors.New("give print_direction, or part_direction and the rotation of the candidate as advice.json has it")
	}
	var err error
	out.Across, err = book.ParseAcross(r.Across)
	return out, err
}
