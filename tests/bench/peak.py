#!/usr/bin/env python3
"""Runs a command and says on standard error the most memory that it took: `peak-kb N`."""

import resource
import subprocess
import sys

done = subprocess.run(sys.argv[1:], check=False)
print("peak-kb", resource.getrusage(resource.RUSAGE_CHILDREN).ru_maxrss, file=sys.stderr)
sys.exit(done.returncode)
