package org.holebook.app.shell

/** Files that other apps shared, waiting until a person decides. */
class IncomingFiles(private val photos: FileQueue, private val bundles: FileQueue) {
    /** The queue for files of a kind. */
    fun of(kind: FileKind): FileQueue = when (kind) {
        FileKind.PHOTO -> photos
        FileKind.BUNDLE -> bundles
    }
}
