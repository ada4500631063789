package job_test

import (
	"bytes"
	"reflect"
	"testing"
	"time"

	"gonum.org/v1/gonum/spatial/r3"
	"pgregory.net/rapid"

	"kilnpoise/app/job"
	"kilnpoise/mesh"
	"kilnpoise/orient/mark"
	"kilnpoise/orient/process"
)

// oddText is text with what files stumble over.
func oddText() *rapid.Generator[string] {
	return rapid.OneOf(
		rapid.String(),
		rapid.StringOf(rapid.SampledFrom([]rune("ab \t\r\n\"'\\#=[]\x00\x01\x1f\x7f\u0085\u2028\ufeffé"))),
	)
}

func number() *rapid.Generator[float64] {
	return rapid.OneOf(rapid.Float64(), rapid.Float64Range(-1000, 1000), rapid.SampledFrom([]float64{0, 1e-320, 0.1, 1 << 53, 1e300}))
}

func place() *rapid.Generator[r3.Vec] {
	return rapid.Custom(func(t *rapid.T) r3.Vec {
		return r3.Vec{X: number().Draw(t, "x"), Y: number().Draw(t, "y"), Z: number().Draw(t, "z")}
	})
}

func direction() *rapid.Generator[r3.Vec] {
	side := rapid.Float64Range(-1, 1)
	return rapid.Custom(func(t *rapid.T) r3.Vec {
		return r3.Unit(r3.Vec{X: side.Draw(t, "x"), Y: side.Draw(t, "y"), Z: 1.5 + side.Draw(t, "z")})
	})
}

// list draws a short list, nil where it is empty.
func list[T any](t *rapid.T, of *rapid.Generator[T], name string) []T {
	l := rapid.SliceOfN(of, 0, 3).Draw(t, name)
	if len(l) == 0 {
		return nil
	}
	return l
}

func seeds() *rapid.Generator[mark.Seed] {
	return rapid.Custom(func(t *rapid.T) mark.Seed {
		return mark.Seed{At: place().Draw(t, "at"), Normal: place().Draw(t, "normal"), WithinDeg: number().Draw(t, "within"), AreaMM2: number().Draw(t, "area")}
	})
}

func kept(t *rapid.T) mark.Kept {
	return mark.Kept{
		Faces: list(t, rapid.Custom(func(t *rapid.T) mark.KeptFace {
			return mark.KeptFace{
				Kind: rapid.SampledFrom(mark.Kinds()).Draw(t, "kind"), Name: oddText().Draw(t, "name"),
				Seeds: list(t, seeds(), "seeds"), Without: list(t, seeds(), "without"), Rings: rapid.IntRange(-1000, 1000).Draw(t, "rings"),
			}
		}), "faces"),
		Dimensions: list(t, rapid.Custom(func(t *rapid.T) mark.KeptDimension {
			return mark.KeptDimension{
				Name: oddText().Draw(t, "name"), What: rapid.SampledFrom(mark.Characteristics()).Draw(t, "what"), Seeds: list(t, seeds(), "seeds"),
				NominalMM: number().Draw(t, "nominal"), ToleranceMM: number().Draw(t, "tolerance"),
				NominalDeg: number().Draw(t, "nominal angle"), ToleranceDeg: number().Draw(t, "tolerance of the angle"),
			}
		}), "dimensions"),
		Loads: list(t, rapid.Custom(func(t *rapid.T) mark.Load {
			return mark.Load{Name: oddText().Draw(t, "name"), Along: direction().Draw(t, "along")}
		}), "loads"),
		Stock: list(t, rapid.Custom(func(t *rapid.T) mark.KeptStock {
			return mark.KeptStock{Name: oddText().Draw(t, "name"), Seed: seeds().Draw(t, "seed"), MM: number().Draw(t, "stock")}
		}), "stock"),
	}
}

// fill puts something into every exported field of a record, also those that are
// added to records later.
func fill(t *rapid.T, v reflect.Value) {
	switch v.Kind() {
	case reflect.Struct:
		for i := range v.NumField() {
			fill(t, v.Field(i))
		}
	case reflect.Array:
		for i := range v.Len() {
			fill(t, v.Index(i))
		}
	case reflect.Slice:
		n := rapid.IntRange(0, 3).Draw(t, "length")
		if n > 0 {
			v.Set(reflect.MakeSlice(v.Type(), n, n))
		}
		for i := range n {
			fill(t, v.Index(i))
		}
	case reflect.Float64:
		v.SetFloat(number().Draw(t, "number"))
	case reflect.String:
		v.SetString(oddText().Draw(t, "text"))
	case reflect.Int:
		v.SetInt(int64(rapid.Int().Draw(t, "int")))
	case reflect.Bool:
		v.SetBool(rapid.Bool().Draw(t, "bool"))
	default:
		t.Fatalf("a record holds a %s, which this test does not know", v.Kind())
	}
}

func filled[T any](t *rapid.T) T {
	var r T
	fill(t, reflect.ValueOf(&r).Elem())
	return r
}

func drawJob(t *rapid.T) job.Job {
	day := func(name string) time.Time {
		return time.Unix(rapid.Int64Range(0, 4e9).Draw(t, name), rapid.Int64Range(0, 999_999_999).Draw(t, name)).UTC()
	}
	j := job.Job{
		Part: job.Part{
			File: job.CleanName(oddText().Draw(t, "file")), Content: job.NewContent(rapid.SliceOfN(rapid.Byte(), 0, 3000).Draw(t, "part")),
			Unit: rapid.SampledFrom([]mesh.Unit{"", mesh.Micron, mesh.Foot}).Draw(t, "unit"), Item: rapid.IntRange(-1, 5).Draw(t, "item"),
		},
		Brief: job.Brief{
			Material: filled[process.Material](t), Printer: filled[process.Printer](t), Furnace: filled[process.Furnace](t),
			Directions: list(t, direction(), "directions"), Candidates: rapid.IntRange(0, 1000).Draw(t, "candidates"),
			Seed: rapid.Uint64().Draw(t, "seed"), Marks: kept(t),
		},
		Choice: job.Choice{Up: direction().Draw(t, "up"), Name: oddText().Draw(t, "name"), LeftOut: list(t, seeds(), "left out")},
		Sheet: job.Sheet{Fields: list(t, rapid.Custom(func(t *rapid.T) job.Field {
			return job.Field{Key: oddText().Draw(t, "key"), Text: oddText().Draw(t, "text")}
		}), "fields")},
		Notes: oddText().Draw(t, "notes"), Created: day("created"), Saved: day("saved"), Program: oddText().Draw(t, "program"),
	}
	for i := range j.Brief.Priorities {
		j.Brief.Priorities[i] = rapid.Float64Range(0, 5).Draw(t, "priority")
	}
	return j
}

func TestAnyJobIsReadAsItWasWritten(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		want := drawJob(t)
		var b bytes.Buffer
		if err := job.Write(t.Context(), &b, want); err != nil {
			t.Fatal(err)
		}
		got, _, err := read(b.Bytes())
		if err != nil {
			t.Fatal(err)
		}
		if diff := difference(want, got); diff != "" {
			t.Fatalf("read otherwise than written:\n%s", diff)
		}
	})
}
