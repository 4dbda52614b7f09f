package org.holebook.app.shell

import org.holebook.core.NotebookException

/** The message of an error, as a sentence to show. */
val NotebookException.sentence: String
    get() = toString().replaceFirstChar(Char::uppercase).trimEnd('.') + "."
