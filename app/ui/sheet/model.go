package sheet

// Tint is how a cell stands out.
type Tint int

// The tints.
const (
	Plain      Tint = iota
	Dim             // of lesser weight: worked out, not typed
	Suspicious      // readable, but it does not fit the others
	Wrong           // not understood
)

// Column describes one column of a sheet.
type Column struct {
	Head     string
	Weight   float32 // share of the width
	Entry    bool    // Enter and Tab stop here
	ReadOnly bool
	Left     bool // set flush left; figures stand flush right
}

// Cell is what a cell shows.
type Cell struct {
	Text   string
	Tint   Tint
	Note   string // why it is tinted, in words; shown while the cursor stands on it
	Struck bool   // drawn crossed out
	Sign   string // a small sign at the far end of the cell; not part of its text
}

// Model is the list behind a sheet. Rows and columns count from 0. Row Rows() is
// the empty one: setting a cell there adds a row.
type Model interface {
	Rows() int
	Columns() []Column
	Cell(row, col int) Cell

	// Echo says what a text typed into a cell would mean, and how it looks.
	Echo(row, col int, text string) (string, Tint)

	// Set writes a cell, one undo step. Text that is not understood is kept and
	// shown as Wrong; an error means that nothing was written.
	Set(row, col int, text string) error

	// SetBlock writes a block of texts with its first cell at row, col, adding
	// rows as it needs, one undo step. Rows may differ in length.
	SetBlock(row, col int, block [][]string) error
}
