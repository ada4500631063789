package job

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"

	"kilnpoise/orient"
	"kilnpoise/orient/mark"
)

// NewerError says that a job was saved by a newer program.
type NewerError struct {
	// Format is that of the file, Program the version that saved it, which may be
	// "".
	Format  int
	Program string
}

// Error says both versions and what to do.
func (e *NewerError) Error() string {
	by := "a newer Kilnpoise"
	if e.Program != "" {
		by = fmt.Sprintf("a newer Kilnpoise (%.40q)", e.Program)
	}
	return fmt.Sprintf("was saved by %s in format %d, and this one reads formats up to %d; open it with that version or a later one", by, e.Format, Format)
}

// upToDate brings job.json of an older format to this one, step by step.
func upToDate(data []byte) ([]byte, error) {
	var head struct {
		Format  *int
		Program string
	}
	if err := json.Unmarshal(data, &head); err != nil || head.Format == nil {
		return nil, errors.New("holds a job.json that does not tell its format; take an earlier copy of the job")
	}
	switch format := *head.Format; {
	case format > Format:
		return nil, &NewerError{Format: format, Program: head.Program}
	case format < 0:
		return nil, fmt.Errorf("tells format %d, which never was; take an earlier copy of the job", format)
	case format == Format:
		return data, nil
	}
	tree, err := looseTree(data)
	if err != nil {
		return nil, err
	}
	for format := *head.Format; format < Format; format++ {
		if err := step(format)(tree); err != nil {
			return nil, fmt.Errorf("is of format %d and cannot be brought up to date (%w); take an earlier copy of the job", format, err)
		}
		tree["format"] = format + 1
	}
	return json.Marshal(tree)
}

// looseTree reads JSON without a form, numbers as they are written.
func looseTree(data []byte) (map[string]any, error) {
	r := json.NewDecoder(bytes.NewReader(data))
	r.UseNumber()
	tree := map[string]any{}
	if err := r.Decode(&tree); err != nil {
		return nil, fmt.Errorf("holds a fault in job.json (%w); take an earlier copy of the job", plainJSON(err))
	}
	return tree, nil
}

// step gives what brings a document from that format to the next.
func step(format int) func(tree map[string]any) error {
	return [...]func(map[string]any) error{fromDraft, fromFirst}[format]
}

// fromDraft makes format 1 of the draft, in which priorities were listed in their
// order, a marked face had one place, at and within_deg, and no build item was
// kept.
func fromDraft(tree map[string]any) error {
	if part, ok := tree["part"].(map[string]any); ok {
		part["item"] = AllItems
	}
	if brief, ok := tree["brief"].(map[string]any); ok {
		list, _ := brief["priorities"].([]any)
		if len(list) > len(orient.AllPriorities()) {
			return errors.New("too many priorities")
		}
		byKey := map[string]any{}
		for i, w := range list {
			byKey[orient.Priority(i).Key()] = w
		}
		brief["priorities"] = byKey
	}
	marks, _ := tree["marks"].(map[string]any)
	faces, _ := marks["faces"].([]any)
	for _, f := range faces {
		face, ok := f.(map[string]any)
		if !ok {
			return errors.New("a face is no object")
		}
		face["seeds"] = []any{map[string]any{"at": face["at"], "within_deg": face["within_deg"]}}
		delete(face, "at")
		delete(face, "within_deg")
	}
	return nil
}

// fromFirst makes format 2 of the first one, in which a dimension on one face was a
// diameter and one on two a distance, and nothing had stock.
func fromFirst(tree map[string]any) error {
	marks, _ := tree["marks"].(map[string]any)
	dimensions, _ := marks["dimensions"].([]any)
	for _, d := range dimensions {
		dimension, ok := d.(map[string]any)
		if !ok {
			return errors.New("a dimension is no object")
		}
		dimension["what"] = mark.Distance.Key()
		if seeds, _ := dimension["seeds"].([]any); len(seeds) == 1 {
			dimension["what"] = mark.Diameter.Key()
		}
	}
	return nil
}
