package main

import (
	"strings"

	"github.com/spf13/cobra"
)

// completeBooks offers the files a book can be.
func completeBooks(_ *cobra.Command, args []string, _ string) ([]string, cobra.ShellCompDirective) {
	if len(args) > 0 {
		return nil, cobra.ShellCompDirectiveNoFileComp
	}
	return []string{"yaml", "yml", "json"}, cobra.ShellCompDirectiveFilterFileExt
}

// completeManyBooks offers them again and again.
func completeManyBooks(c *cobra.Command, _ []string, word string) ([]string, cobra.ShellCompDirective) {
	return completeBooks(c, nil, word)
}

// completeWhy offers book files, then treatments, then what the treatment is considered for in that book.
func (a *app) completeWhy(c *cobra.Command, args []string, word string) ([]string, cobra.ShellCompDirective) {
	switch len(args) {
	case 0:
		return completeBooks(c, args, word)
	case 1:
		return a.completeTreatments(c, args, word)
	case 2:
		g, err := a.judge(args[0])
		if err != nil {
			return nil, cobra.ShellCompDirectiveError
		}
		verdicts, err := chosen(g, args[1], "")
		if err != nil {
			return nil, cobra.ShellCompDirectiveError
		}
		var paths []string
		for _, v := range verdicts {
			if strings.HasPrefix(v.Target.Path, word) {
				paths = append(paths, cobra.CompletionWithDesc(v.Target.Path, string(v.Word)))
			}
		}
		return paths, cobra.ShellCompDirectiveNoFileComp
	}
	return nil, cobra.ShellCompDirectiveNoFileComp
}

// completeTreatments offers the treatments of the packs by id.
func (a *app) completeTreatments(_ *cobra.Command, _ []string, word string) ([]string, cobra.ShellCompDirective) {
	p, err := a.loadPack()
	if err != nil {
		return nil, cobra.ShellCompDirectiveError
	}
	var ids []string
	for _, t := range p.Treatments {
		if strings.HasPrefix(t.ID, strings.ToLower(word)) {
			ids = append(ids, cobra.CompletionWithDesc(t.ID, t.Name))
		}
	}
	return ids, cobra.ShellCompDirectiveNoFileComp
}

// completeVerdicts offers the verdicts.
func completeVerdicts(*cobra.Command, []string, string) ([]string, cobra.ShellCompDirective) {
	var list []string
	for _, w := range allVerdicts {
		list = append(list, string(w))
	}
	return list, cobra.ShellCompDirectiveNoFileComp
}

// must panics when a command is built wrongly: a fault of the program.
func must(err error) {
	if err != nil {
		panic(err)
	}
}
