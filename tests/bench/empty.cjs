// The same for the older kind of module, which Node starts sooner; the launcher is one.
