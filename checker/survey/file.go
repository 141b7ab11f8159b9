package survey

import (
	"errors"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"kitgauge/checker/files"
)

// Read reads a survey: a workbook, or a directory of CSV files. The error is a
// *files.Error where nothing could be read; what is wrong with sheets and cells
// are problems.
func Read(name string) (*Survey, []Problem, error) {
	info, err := os.Stat(name)
	switch {
	case err != nil:
		return nil, nil, unread(name, err)
	case info.IsDir():
		return readDir(name)
	}
	text, err := files.ReadFile(name)
	if err != nil {
		return nil, nil, unread(name, err)
	}
	if !IsWorkbook(text) {
		return nil, nil, &files.Error{File: name, Err: errors.New("this is no survey: it is a workbook (.xlsx), or a directory of CSV files")}
	}
	grids, why := ReadXLSX(text)
	if why != nil {
		return nil, nil, &files.Error{File: name, Err: *why}
	}
	s, problems := FromGrids(grids)
	return s, problems, nothing(s, name)
}

func unread(name string, err error) error {
	return &files.Error{File: name, Err: errors.New(files.PlainError(err))}
}

// nothing is the error of a file that holds no sheet of a survey.
func nothing(s *Survey, name string) error {
	if len(s.Sheets) == 0 {
		return &files.Error{File: name, Err: errors.New("it has none of the sheets of a survey: " + strings.Join(Names(), ", "))}
	}
	return nil
}

// readDir reads the CSV files of a directory, each a sheet.
func readDir(dir string) (*Survey, []Problem, error) {
	entries, err := os.ReadDir(dir)
	if err != nil {
		return nil, nil, unread(dir, err)
	}
	var grids []Grid
	var problems []Problem
	for _, e := range entries {
		name := e.Name()
		if strings.ToLower(filepath.Ext(name)) != ".csv" {
			continue
		}
		if len(grids) == mostSheets {
			return nil, nil, &files.Error{File: dir, Err: errors.New("it holds more CSV files than a survey has sheets")}
		}
		text, err := files.ReadFile(filepath.Join(dir, name))
		if err != nil {
			return nil, nil, unread(filepath.Join(dir, name), err)
		}
		g, wrong := ReadCSV(File{Name: name[:len(name)-len(".csv")] + ".csv", Text: text})
		grids, problems = append(grids, g), append(problems, wrong...)
	}
	s, more := FromGrids(grids)
	return s, slices.Concat(problems, more), nothing(s, dir)
}
