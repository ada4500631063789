package job

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"strings"

	"kilnpoise/orient"
)

// SetAdvice gives the job with an advice, the part in it told by its bare name. An advice of now never takes the place of
// one in a copy of the job.
func (j Job) SetAdvice(r orient.Report) (Job, error) {
	// Where the part lies on this machine is nobody's business elsewhere.
	r.Part.File = r.Part.File[strings.LastIndexAny(r.Part.File, `/\`)+1:]
	var b bytes.Buffer
	if err := r.Write(&b); err != nil {
		return j, fmt.Errorf("the advice cannot be put down: %w", err)
	}
	j.Advice = b.Bytes()
	return j, nil
}

// Report gives the advice that the job was saved with, for showing and comparing; it
// fails where there is none.
func (j *Job) Report() (orient.Report, error) {
	var r orient.Report
	if len(j.Advice) == 0 {
		return r, errors.New("the job holds no advice yet")
	}
	if err := json.Unmarshal(j.Advice, &r); err != nil {
		return r, fmt.Errorf("the advice in the job cannot be read (%w); work it out anew", plainJSON(err))
	}
	return r, nil
}
