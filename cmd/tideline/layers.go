package main

import (
	"tideline/engine/dose"
	"tideline/rules/fault"
	"tideline/rules/pack"
	"tideline/rules/packs"
	"tideline/rules/yamlfile"
)

// loadPack loads the packs for judging by, without their trials.
func (a *app) loadPack() (*pack.Pack, error) {
	layers, err := a.layers()
	if err != nil {
		return nil, err
	}
	for i := range layers {
		layers[i] = pack.Trim(layers[i])
	}
	return compile(layers)
}

// loadWhole loads the packs with their trials.
func (a *app) loadWhole() (*pack.Pack, error) {
	layers, err := a.layers()
	if err != nil {
		return nil, err
	}
	return compile(layers)
}

func compile(layers []pack.Layer) (*pack.Pack, error) {
	faults := &fault.List{}
	p := pack.Load(layers, faults, dose.Functions()...)
	return p, faults.Err()
}

// layers reads the shipped pack and those of --pack laid over it, in the order given. A pack that calls itself what the
// shipped one is called takes its place, so that the shipped pack can be worked on as files.
func (a *app) layers() ([]pack.Layer, error) {
	faults := &fault.List{}
	shipped, err := packs.Shipped()
	if err != nil {
		return nil, internal{err}
	}
	layers := []pack.Layer{shipped}
	for _, path := range a.packs {
		layer := pack.ReadPath(path, faults)
		if name := nameOf(layer); name != "" && name == nameOf(shipped) {
			layers[0] = layer
			continue
		}
		layers = append(layers, layer)
	}
	return layers, faults.Err() // what could not be read would be missed everywhere
}

// nameOf gives what the first file of a layer calls its pack, "" when that cannot be told.
func nameOf(l pack.Layer) string {
	if len(l.Files) == 0 {
		return ""
	}
	unread := &fault.List{} // the pack loader tells them
	root := yamlfile.Parse(l.Files[0].Name, l.Files[0].Data, unread)
	return root.Map("a pack", "pack").Text("pack")
}
