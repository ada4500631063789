package mesh

import (
	"context"
	"errors"
	"fmt"
	"html"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"unicode"
	"unicode/utf8"

	"pgregory.net/rapid"
)

func TestPrintableName(t *testing.T) {
	tests := []struct{ name, text, want string }{
		{"plain", "pump rod guide 2", "pump rod guide 2"},
		{"other scripts", "Ventilklappe Größe 3 – 水泵 насос", "Ventilklappe Größe 3 – 水泵 насос"},
		{"empty", "", ""},
		{"a line end", "rod\nerror: all is lost", "rod error: all is lost"},
		{"line ends of every kind", "a\r\nb\u0085c\u2028d\u2029e\vf\fg", "a b c d e f g"},
		{"an escape", "rod\x1b[31m red\x1b]0;title\a", "rod [31m red ]0;title"},
		{"a control of eight bits", "rod\u009b31m", "rod 31m"},
		{"right to left", "rod\u202egnp.exe\u202c", "rodgnp.exe"},
		{"isolates and marks", "\u2066a\u2069\u200e\u200f\u061c", "a"},
		{"invisible", "\ufeffr\u200bo\u2060d\u00ad", "rod"},
		{"tags", "rod\U000e0041\U000e0001", "rod"},
		{"no characters", "rod \xff\xc0 \ue000 \uffff", "rod \ufffd\ufffd \ufffd \ufffd"},
		{"blanks of every kind", "  a\u00a0\u3000 b\t\t", "a b"},
		{"only blanks", " \n\x00", ""},
		{"long", strings.Repeat("é", 500), strings.Repeat("é", maxName) + "…"},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			if got := PrintableName(tt.text); got != tt.want {
				t.Errorf("PrintableName(%q) = %q, want %q", tt.text, got, tt.want)
			}
		})
	}
	t.Logf("%d names", len(tests))
}

func TestPrintableNameOfAnyText(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		text := string(rapid.SliceOf(rapid.Byte()).Draw(t, "bytes")) + rapid.String().Draw(t, "text")
		got := PrintableName(text)
		if err := isPrintable(got); err != nil || utf8.RuneCountInString(got) > maxName+1 {
			t.Fatalf("%q becomes %q: %v", text, got, err)
		}
		if again := PrintableName(got); again != got && !strings.HasSuffix(got, "…") {
			t.Fatalf("%q becomes %q", got, again)
		}
	})
}

// isPrintable says what of a text must not reach a terminal or a sheet.
func isPrintable(text string) error {
	for i, r := range text {
		if !unicode.IsPrint(r) {
			return fmt.Errorf("%q at byte %d", r, i)
		}
	}
	return nil
}

// badNames are names that would forge a line, colour a terminal or turn what is
// shown round.
var badNames = []string{"rod\nall is well", "rod\x1b[2J", "rod\u202eLTS.", "rod\rok", "\u2067rod", "rod\u0085ok", "rod\x00", "rod\ufeff"}

// TestNamesFromFiles has such names come in every way that there is: as that of the
// file, of an object, of a part of the package, and within what is refused.
func TestNamesFromFiles(t *testing.T) {
	tried := 0
	check := func(way, name string, data []byte) {
		tried++
		f, err := readBytes(name, data)
		if err != nil {
			if bad := isPrintable(err.Error()); bad != nil || len(err.Error()) > 4*maxSentence {
				t.Errorf("%s: the error %q has %v", way, err, bad)
			}
			return
		}
		texts := append([]string{f.Name}, f.Notes...)
		for _, item := range f.Items {
			texts = append(texts, item.Name)
		}
		if _, err := f.Part(context.Background(), 99); err != nil {
			texts = append(texts, err.Error())
		}
		for _, text := range texts {
			if bad := isPrintable(text); bad != nil || text == "" {
				t.Errorf("%s: %q has %v", way, text, bad)
			}
		}
	}
	cube := stlBytes(t, cubeShape(0, 0, 0, 10))
	rels := fmt.Sprintf(relsText, rootRel)
	for _, bad := range append([]string{"", "\x1b", strings.Repeat("long ", 5000)}, badNames...) {
		check("file", bad+".stl", cube)
		check("extension", "rod."+bad, cube)
		check("wrong extension", bad+".obj", cube)
		check("refused", bad+".stl", cube[:100])
		check("solid", "a.stl", []byte("solid "+bad+"\nfacet normal "+bad))
		check("word", "a.obj", []byte("v 0 "+strings.ReplaceAll(bad, "\n", "")+" 1\n"))
		escaped := html.EscapeString(strings.NewReplacer("\x00", "0", "\x1b", "&#x9b;").Replace(bad))
		object := tetraModel("")
		check("object", "a.3mf", threeMF(t, strings.Replace(object, `id="1"`, `id="1" name="`+escaped+`"`, 1)))
		check("number", "a.3mf", threeMF(t, strings.Replace(object, `objectid="1"`, `objectid="1" partnumber="`+escaped+`"`, 1)))
		check("extension in use", "a.3mf", threeMF(t, tetraModel(`xmlns:q="`+escaped+`"`)))
		check("extension required", "a.3mf", threeMF(t, tetraModel(`xmlns:q="`+escaped+`" requiredextensions="q"`)))
		check("unit", "a.3mf", threeMF(t, tetraModel(`unit="`+escaped+`"`)))
		check("metadata", "a.3mf", threeMF(t, strings.Replace(object, "<resources>", `<metadata name="`+escaped+`">x</metadata><resources>`, 1)))
		check("relation", "a.3mf", zipOf(t, map[string]string{"3D/3dmodel.model": object,
			"_rels/.rels": strings.Replace(rels, "3dmodel.model", escaped+".model", 1)}))
		check("another relation", "a.3mf", zipOf(t, map[string]string{"3D/3dmodel.model": object,
			"_rels/.rels": strings.Replace(rels, "<Relationship ", `<Relationship Id="q" Type="q" Target="`+escaped+`"/><Relationship `, 1)}))
		check("outside", "a.3mf", zipOf(t, map[string]string{"3D/3dmodel.model": object,
			"_rels/.rels": strings.Replace(rels, "/3D/3dmodel.model", "http://example.com/"+escaped, 1)}))
		check("entry twice", "a.3mf", zipOf(t, map[string]string{"3D/3dmodel.model": object, "_rels/.rels": rels, "q" + bad: "1", "Q" + bad: "2"}))
	}
	t.Logf("%d files", tried)
}

func TestNameOfNoPath(t *testing.T) {
	_, err := ReadFile(context.Background(), filepath.Join(t.TempDir(), "rod\x1b[2J\n.stl"), ReadOptions{})
	if !errors.Is(err, os.ErrNotExist) || isPrintable(err.Error()) != nil {
		t.Errorf("error %q", err)
	}
}
