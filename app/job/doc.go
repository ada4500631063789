// Package job keeps a job between sittings: the part, the brief with its marks,
// the records as they were used, the advice as last worked out, the choice, the
// sheet and the user's notes. It knows nothing of windows.
//
// Open claims a job file and reads it, Create begins one ("save as"), Claim.Save
// writes it whole or not at all, ReadFile opens a copy of what is open elsewhere. A
// Keeper saves by itself what has not been saved yet. After a crash Leftovers lists
// what it kept: take Leftover.Job, Reclaim its Origin unless that is zero, give both to
// a Keeper of one's own, then Discard. History is undo and redo.
//
// # The job file
//
// A job file has the extension .kilnpoise and is one zip. Its entries, in this
// order, all dated with the time of saving (UTC):
//
//	mimetype               "application/x-kilnpoise-job", stored, so that the kind of file
//	                       stands at a fixed place near its beginning
//	job.json               everything that has no entry of its own, see below
//	records/material.toml  the three records as they were used, all figures with their
//	records/printer.toml   sources, in the form of the record files; they need not pass
//	records/furnace.toml   the checks of a record: a slip is kept as well
//	advice.json            the advice as "advise" writes it; absent before the first
//	notes.txt              the user's notes, UTF-8; absent where there are none
//	thumbnail.png          a picture of the chosen candidate, at most 2048 pixels a side;
//	                       may be absent
//	part/NAME              the part file, byte for byte; NAME is its file name
//
// job.json holds one object. Lengths are mm, places and directions are [x, y, z] in
// the part frame; what is left out is zero, false or empty unless noted.
//
//	format    1; goes up whenever an older program would lose or misread something
//	program   the version of Kilnpoise that saved it
//	created, saved  times, RFC 3339
//	part      sha256 (hex), size (bytes), unit (mm, cm, m, inch, foot, micron; "" takes
//	          the file's own), item (number of the build item from 0, -1 for all as one),
//	          demo (the built-in part it came from)
//	records   material, printer, furnace: the IDs of the records
//	brief     priorities (by key; one that is missing takes its default), directions,
//	          cutter {diameter_mm, length_mm, holder_mm}, candidates, only_given, seed
//	marks     faces [{kind, name, seeds, without, rings}], dimensions [{name, what,
//	          seeds, nominal_mm, tolerance_mm, nominal_deg, tolerance_deg}], loads [{name,
//	          along}], stock [{name, seed, mm}]; what is distance, diameter, bore_to_bore,
//	          bore_to_face, flatness, parallelism or angle; a seed is a place on a face:
//	          {at, normal, within_deg, area_mm2}, see package mark
//	choice    up, name (of the chosen candidate), as_printed or down (how it lies in the
//	          furnace), left_out (seeds on support regions left out), supports, blocks,
//	          raft (what is printed with it)
//	sheet     letter, at_sintered_size, fields [{key, text}]
//
// Reading is bounded: no more than 32 entries, each with a limit of its own, all
// together at most four times the file and 256 MB, sizes checked before anything is
// set aside. What the user has to hear is one sentence that says what to do. Two
// entries of one name, names that lead elsewhere and a part with another SHA-256 than
// job.json tells are refused. A missing entry is refused as well, unless it may be
// absent. Entries that are not listed above are passed over, with a note; they are
// gone when the job is saved again. Keys that are not known are refused: their loss
// would go unseen.
//
// A file of a newer format is refused with a *NewerError. One of an older format is
// brought up to date in steps, see upgrade.go. Format 0 was the draft of format 1,
// in which a dimension had no kind and no face had stock.
//
// # Autosaves
//
// An autosave is a folder of one sitting in the user's state folder: the file job is a
// job file with the mimetype "application/x-kilnpoise-autosave", without part/NAME and
// with the entry autosave.json {kept, path, sha256, part}: when it was kept, the job
// file that it belongs to, the hash of that file as it was read, the name of the part.
// The part lies beside it as part-SHA256 and is written once. A lock file beside the
// folder tells that its owner lives.
package job
