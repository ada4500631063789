package job_test

import (
	"bytes"
	"context"
	"testing"

	"kilnpoise/app/job"
)

// FuzzRead wants every file to be read or refused within the memory that its size
// allows, and what is read to be written and read again the same.
func FuzzRead(f *testing.F) {
	f.Add(written(f, sample(f)))
	f.Add(zipped(f, items(f, written(f, sample(f)))))
	for _, c := range hostile(f) {
		if len(c.data) < 100_000 {
			f.Add(c.data)
		}
	}
	f.Fuzz(func(t *testing.T, data []byte) {
		if len(data) > 1<<20 {
			t.Skip("larger than needed")
		}
		var j job.Job
		var err error
		used := allocated(func() { j, _, err = read(data) })
		if bound := uint64(4*len(data) + 300<<20); used > bound {
			t.Fatalf("%d bytes were set aside for a file of %d", used, len(data))
		}
		if err != nil {
			return
		}
		var first, second bytes.Buffer
		if err := job.Write(context.Background(), &first, j); err != nil {
			t.Fatalf("what was read cannot be written: %v", err)
		}
		again, _, err := read(first.Bytes())
		if err != nil {
			t.Fatalf("what was written cannot be read: %v", err)
		}
		if err := job.Write(context.Background(), &second, again); err != nil || !bytes.Equal(first.Bytes(), second.Bytes()) {
			t.Fatalf("it changes with every saving (%v)", err)
		}
	})
}

// FuzzDocument reaches deeper into job.json and the records than FuzzRead gets past
// the check sums of the zip.
func FuzzDocument(f *testing.F) {
	list := items(f, written(f, sample(f)))
	text := map[string]string{}
	for _, i := range list {
		text[i.name] = i.data
	}
	f.Add(text["job.json"], text["records/material.toml"], text["records/printer.toml"], text["records/furnace.toml"], text["advice.json"])
	f.Add(draft, "", "", "", "{}")
	f.Fuzz(func(t *testing.T, document, material, printer, furnace, advice string) {
		all := map[string]string{
			"job.json": document, "records/material.toml": material, "records/printer.toml": printer, "records/furnace.toml": furnace, "advice.json": advice,
		}
		changed := make([]item, len(list))
		total := 0
		for i, e := range list {
			if data, ok := all[e.name]; ok {
				e.data = data
				total += len(data)
			}
			changed[i] = e
		}
		if total > 1<<20 {
			t.Skip("larger than needed")
		}
		data := zipped(t, changed)
		var j job.Job
		var err error
		used := allocated(func() { j, _, err = read(data) })
		if bound := uint64(200*total + 16<<20); used > bound {
			t.Fatalf("%d bytes were set aside for %d bytes of text", used, total)
		}
		if err != nil {
			return
		}
		first := bytes.Buffer{}
		if err := job.Write(context.Background(), &first, j); err != nil {
			t.Fatalf("what was read cannot be written: %v", err)
		}
		if _, _, err := read(first.Bytes()); err != nil {
			t.Fatalf("what was written cannot be read: %v", err)
		}
	})
}
