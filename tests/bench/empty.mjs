// The yardstick: Node started on a file that does nothing.
