package handover

import (
	"context"

	"panewright/board"
)

// otherHandFolder holds the files of the other-hand pane, in the folder of the
// pane itself.
const otherHandFolder = "other-hand"

// buildOtherHand makes the files of the other-hand pane; none where it was not
// asked for.
func buildOtherHand(ctx context.Context, o Options) ([]File, error) {
	if o.OtherHand == nil {
		return nil, nil
	}
	twin := o
	twin.OtherHand = nil
	if o.Progress != nil {
		twin.Progress = func(stage string, done float64) { o.Progress("other hand: "+stage, 0.5+done/2) }
	}
	files, _, err := BuildWith(ctx, o.OtherHand, twin)
	return files, err
}

// firstHalf is a progress function for the pane itself, where its other hand comes
// after it.
func (o Options) firstHalf() Options {
	if all := o.Progress; o.OtherHand != nil && all != nil {
		o.Progress = func(stage string, done float64) { all(stage, done/2) }
	}
	return o
}

// otherHandWarning says what the other-hand pane does not have.
func otherHandWarning(m *board.Model, o Options) (w []Warning) {
	if o.OtherHand != nil && len(m.Job.Cuts) > 0 {
		w = append(w, Warning{"other-hand", "The other-hand pane is made of the readings alone: what was put right after the cuts of this one is not carried over."})
	}
	return w
}
