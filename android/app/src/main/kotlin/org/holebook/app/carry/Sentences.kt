package org.holebook.app.carry

import org.holebook.core.NotebookException

/** The sentence for the person that every error of the core carries. A new kind of error must be added to build. */
val NotebookException.sentence: String
    get() {
        val reason = when (this) {
            is NotebookException.Newer -> reason
            is NotebookException.NotANotebook -> reason
            is NotebookException.Damaged -> reason
            is NotebookException.NotWritable -> reason
            is NotebookException.StorageFull -> reason
            is NotebookException.Busy -> reason
            is NotebookException.OpenElsewhere -> reason
            is NotebookException.NoSuch -> reason
            is NotebookException.Unfit -> reason
            is NotebookException.NotTaken -> reason
            is NotebookException.Photo -> reason
            is NotebookException.Storage -> reason
            is NotebookException.Shelf -> reason
            is NotebookException.Stopped -> reason
            is NotebookException.UnderWay -> reason
            is NotebookException.Pairing -> reason
            is NotebookException.Bundle -> reason
            is NotebookException.Unreadable -> reason
            is NotebookException.Closed -> reason
            is NotebookException.Internal -> reason
        }
        return reason.replaceFirstChar(Char::uppercase).trimEnd('.') + "."
    }
