package orient

import (
	"bytes"
	"context"
	"reflect"
	"testing"

	"kilnpoise/orient/process"
)

// Revised for other priorities, the advice is the one that would have been given for
// them in the first place, to the last digit.
func TestReviseGivesWhatAdviseGives(t *testing.T) {
	report := func(a *Advice) string {
		r := NewReport(a)
		r.Elapsed = ElapsedReport{}
		var out bytes.Buffer
		if err := r.Write(&out); err != nil {
			t.Fatal(err)
		}
		return out.String()
	}
	b := testBrief(t)
	first := advise(t, partOf("bracket", bracket()), b)
	for _, p := range []Priorities{{ShorterPrint: 5}, {LessSag: 5, SmootherFaces: 1}} {
		changed := b
		changed.Priorities = p
		revised, err := first.Revise(context.Background(), changed, nil)
		if err != nil {
			t.Fatal(err)
		}
		if got, want := report(revised), report(advise(t, partOf("bracket", bracket()), changed)); got != want {
			t.Errorf("priorities %v: revised and advised anew differ", p)
		}
	}
}

// Everything in a brief but the priorities makes the advice anew: each figure of each
// record is changed in turn.
func TestEveryFigureMatters(t *testing.T) {
	usual, b := testBrief(t), testBrief(t)
	usual.OtherFurnaces, b.OtherFurnaces = []process.Furnace{b.Furnace}, []process.Furnace{b.Furnace}
	tried := 0
	var perturb func(v reflect.Value, path string)
	perturb = func(v reflect.Value, path string) {
		if path == "Brief.Priorities" {
			return
		}
		was := reflect.New(v.Type()).Elem()
		was.Set(v)
		switch v.Kind() {
		case reflect.Float64:
			v.SetFloat(v.Float() + 0.125)
		case reflect.Int, reflect.Int64:
			v.SetInt(v.Int() + 7)
		case reflect.Uint64:
			v.SetUint(v.Uint() + 1)
		case reflect.String:
			v.SetString(v.String() + "x")
		case reflect.Bool:
			v.SetBool(!v.Bool())
		case reflect.Struct:
			for i := range v.NumField() {
				if v.Field(i).CanSet() {
					perturb(v.Field(i), path+"."+v.Type().Field(i).Name)
				}
			}
			return
		case reflect.Array:
			for i := range v.Len() {
				perturb(v.Index(i), path)
			}
			return
		case reflect.Slice:
			v.Set(reflect.Append(v, reflect.Zero(v.Type().Elem())))
		default:
			return
		}
		tried++
		if usual.sameButPriorities(b) {
			t.Errorf("%s does not matter", path)
		}
		v.Set(was)
	}
	perturb(reflect.ValueOf(&b).Elem(), "Brief")
	t.Logf("%d figures changed", tried)
	b.Priorities = Priorities{ShorterPrint: 5}
	if !usual.sameButPriorities(b) {
		t.Error("the priorities alone ask for new measures")
	}
}
