package app_test

import (
	"flag"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

var update = flag.Bool("update", false, "write the list of licences anew")

const licencesFile = "../assets/licences.txt"

// allowed are the licences that a module built into the programs may have, by a
// sentence of each; they ask for no more than to be named.
var allowed = []struct{ name, says string }{
	{"MIT", "Permission is hereby granted, free of charge, to any person obtaining a copy"},
	{"ISC", "Permission to use, copy, modify, and/or distribute this software for any purpose with or without fee is hereby granted"},
	{"BSD", "Redistribution and use in source and binary forms, with or without modification, are permitted"},
	{"Apache-2.0", "Apache License Version 2.0"},
	{"Unlicense", "This is free and unencumbered software released into the public domain"},
}

// licence is the allowed licence whose sentence a text holds; "" where none does.
func licence(text string) string {
	text = strings.Join(strings.Fields(strings.ToLower(text)), " ")
	for _, l := range allowed {
		if strings.Contains(text, strings.ToLower(l.says)) && !strings.Contains(text, "gnu general public license") {
			return l.name
		}
	}
	return ""
}

// TestLicences looks at the licence of every module that is built into a program.
func TestLicences(t *testing.T) {
	out, err := exec.Command("go", "list", "-deps", "-f", "{{with .Module}}{{.Path}} {{.Dir}}{{end}}", "./panewright", "./panewright-batch").Output()
	require.NoError(t, err)
	seen, count := map[string]bool{}, map[string]int{}
	var lines []string
	for _, line := range strings.Split(string(out), "\n") {
		path, dir, ok := strings.Cut(strings.TrimSpace(line), " ")
		if !ok || seen[path] {
			continue
		}
		seen[path] = true
		found := ""
		for _, pattern := range []string{"LICENSE*", "LICENCE*", "COPYING*"} {
			names, err := filepath.Glob(filepath.Join(dir, pattern))
			require.NoError(t, err)
			for _, name := range names {
				text, err := os.ReadFile(name)
				require.NoError(t, err)
				if l := licence(string(text)); found == "" {
					found = l
				}
			}
		}
		assert.NotEmpty(t, found, "%s (%s) has none of the licences that are allowed", path, dir)
		count[found]++
		if path != module {
			lines = append(lines, path+" "+found)
		}
	}
	slices.Sort(lines)
	list := strings.Join(lines, "\n") + "\n"
	if *update {
		require.NoError(t, os.WriteFile(licencesFile, []byte(list), 0o644))
	}
	kept, err := os.ReadFile(licencesFile)
	require.NoError(t, err)
	assert.Equal(t, list, string(kept), "what the program says under Help; -update writes it")
	require.True(t, seen[module])
	require.Greater(t, len(seen), 20)
	t.Logf("%d modules: %v", len(seen), count)
}

func TestLicence(t *testing.T) {
	assert.Equal(t, "BSD", licence("Redistribution and use in\n source and binary  forms, with or without\nmodification, are permitted provided"))
	assert.Empty(t, licence("GNU GENERAL PUBLIC LICENSE\nVersion 3"))
	assert.Empty(t, licence("All rights reserved."))
}
