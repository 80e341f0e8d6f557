"""Stage 5, draw: results and their sentences into annotated figures."""

import logging

# Where it keeps its list of fonts is the drawing library's own matter: where it cannot keep one, it
# makes another each time, and says so in two long lines.
logging.getLogger("matplotlib").setLevel(logging.ERROR)
