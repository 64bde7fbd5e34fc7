package ui

import (
	"testing"

	"github.com/stretchr/testify/assert"

	"panewright/board"
)

// What the pocket says in millimetres is told in the job's unit.
func TestSentencesInTheJobsUnit(t *testing.T) {
	inches, metric := board.NewJob("a"), board.NewJob("b")
	inches.Unit = board.Inch
	const said = "The deepest pin hole goes 98 mm through its tile, 25.4 mm wide; 3 mmx stays."
	assert.Equal(t, said, inUnit(metric, said))
	assert.Equal(t, "The deepest pin hole goes "+length(inches, 98)+" through its tile, "+length(inches, 25.4)+" wide; 3 mmx stays.", inUnit(inches, said))
}
