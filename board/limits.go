package board

// Limits of what is read and kept, so that a slip, a damaged file or a hostile one
// is told in words before it fills the table or the memory. Counts of rows and
// lengths of texts hold for every way in: typing, pasting, job file, journal,
// table.
const (
	// Files, in bytes; lists and objects in one another.
	maxFile    = 64 << 20  // job file
	maxJournal = 512 << 20 // journal
	maxPhoto   = 64 << 20  // photo behind the grid
	maxTable   = 32 << 20  // table of readings, tapes or gaps
	maxDepth   = 32        // of a job file, and of a journal's line
	maxObjects = 4_000_000 // all told, in either

	maxColumns = 64 // of a table of which nothing is known

	// Photo behind the grid, in pixels.
	maxSide   = 20_000
	maxPixels = 40_000_000 // of 3 to 8 bytes while they are read

	// Rows of a job's lists.
	maxReadings  = 100_000
	maxTapes     = 10_000
	maxZero      = 10_000 // points of the zero map
	maxCuts      = 1_000
	maxGaps      = 100_000
	maxDistances = 10_000

	// Texts, in bytes.
	maxCell   = 200     // a typed number, an id, a set
	maxNote   = 4_000   // a note, a reason, the job's name
	maxText   = 1 << 20 // the job's notes
	textLimit = 64      // a number that is understood, blanks trimmed

	// Numbers, so that a slip does not become a reading.
	longest  = 100_000    // mm; no board is longer
	widest   = 90         // degrees; no centre line is turned or leans further
	maxLines = 26 + 26*26 // lines of a grid each way: two letters name no more
	maxCut   = 10_000     // number of a cut
)
