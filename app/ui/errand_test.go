package ui

import (
	"context"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func TestOnlyTheLastErrandCounts(t *testing.T) {
	q := &queue{}
	e := &errand{w: &Window{post: q.post}}
	var done []int
	held := make(chan struct{})
	given := make(chan error, 1)
	e.begin(func(ctx context.Context) func() {
		<-held
		given <- ctx.Err()
		return func() { done = append(done, 1) }
	})
	assert.True(t, e.running())
	e.begin(func(context.Context) func() { return func() { done = append(done, 2) } })
	close(held)
	assert.ErrorIs(t, <-given, context.Canceled, "the first is told")
	require.Eventually(t, func() bool { q.run(); return !e.running() }, 20*wait, wait/100)
	assert.Equal(t, []int{2}, done)

	e.begin(func(context.Context) func() { return func() { done = append(done, 3) } })
	e.stop()
	assert.False(t, e.running())
	e.begin(func(context.Context) func() { return func() { done = append(done, 4) } })
	require.Eventually(t, func() bool { q.run(); return !e.running() }, 20*wait, wait/100)
	assert.Equal(t, []int{2, 4}, done, "what was given up says nothing")
}

func TestAnErrandMayBeginAnother(t *testing.T) {
	q := &queue{}
	e := &errand{w: &Window{post: q.post}}
	rounds := 0
	var again func(context.Context) func()
	again = func(context.Context) func() {
		return func() {
			if rounds++; rounds < 3 {
				e.begin(again)
			}
		}
	}
	e.begin(again)
	require.Eventually(t, func() bool { q.run(); return rounds == 3 && !e.running() }, 20*wait, wait/100)
}
