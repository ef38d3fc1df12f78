package audit

import (
	"fmt"
	"io/fs"
	"path/filepath"
	"runtime"
	"slices"
	"strings"

	"tideline/engine/seal"
)

// found is a case found in a folder.
type found struct {
	folder     *seal.Folder
	name       string
	numbers    []int
	unfinished []string
}

// Folder audits every case in a folder and those below it, on all processors at once. It gives the reports in the order of
// their folders and cases, one at a time; only those at work are held in memory. progress, if any, is told how many cases
// of how many are done.
func (a *Auditor) Folder(root string, progress func(done, all int), each func(*Report) error) error {
	cases, err := list(root)
	if err != nil {
		return err
	}
	results := make([]chan result, len(cases))
	for i := range results {
		results[i] = make(chan result, 1)
	}
	window := make(chan struct{}, 2*runtime.GOMAXPROCS(0)) // how many may be ahead of the one given next
	next := make(chan int)
	stop := make(chan struct{})
	defer close(stop)
	go func() {
		defer close(next)
		for i := range cases {
			select {
			case window <- struct{}{}:
			case <-stop:
				return
			}
			select {
			case next <- i:
			case <-stop:
				return
			}
		}
	}()
	for range min(len(cases), runtime.GOMAXPROCS(0)) {
		go func() {
			for i := range next {
				results[i] <- a.one(cases[i])
			}
		}()
	}
	for i := range cases {
		r := <-results[i]
		results[i] = nil
		<-window
		if r.panic != nil {
			panic(r.panic) // where the program is told of it
		}
		if err := each(r.report); err != nil {
			return err
		}
		if progress != nil {
			progress(i+1, len(cases))
		}
	}
	return nil
}

type result struct {
	report *Report
	panic  any
}

// one audits one case. A fault of the program is handed on to where it can be told.
func (a *Auditor) one(c found) (r result) {
	defer func() {
		if p := recover(); p != nil {
			r.panic = fmt.Sprintf("auditing %s: %v", filepath.Join(c.folder.Path, c.name), p)
		}
	}()
	r.report = a.Case(c.folder, c.name, c.numbers, 0)
	r.report.Unfinished = c.unfinished
	return r
}

// list finds the cases in a folder and those below it.
func list(root string) ([]found, error) {
	var all []found
	err := filepath.WalkDir(root, func(path string, d fs.DirEntry, err error) error {
		if err != nil || !d.IsDir() {
			return err
		}
		folder := seal.In(path)
		cases, unfinished, err := folder.Cases()
		if err != nil {
			return err
		}
		first := len(all)
		for name, numbers := range cases {
			all = append(all, found{folder, name, numbers, seal.UnfinishedOf(name, unfinished)})
		}
		slices.SortFunc(all[first:], func(x, y found) int { return strings.Compare(x.name, y.name) })
		return nil
	})
	return all, err
}
