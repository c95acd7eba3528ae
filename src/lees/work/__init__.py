"""One function per act of the inspector, used by the browser and the command line alike."""
