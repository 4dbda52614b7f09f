package org.holebook.app.shell

import java.io.File
import java.util.UUID

/**
 * Files that other apps or the WebView may read. Each is alone in a folder with an unguessable
 * name, so that its address gives access to that file and to nothing else.
 */
class SharedFiles(private val root: File) {
    /** Whether the app that holds an address may write to it. */
    fun isWritable(parts: List<String>): Boolean = parts.firstOrNull() == CAMERA

    /** The file at an address's path, such as `chosen/4f…/face.jpg`; `null` if there is none. */
    fun find(parts: List<String>): File? {
        if (parts.size != 3 || parts[0] !in KINDS || !parts.all(::isPlainName)) return null
        return File(root, parts.joinToString(File.separator)).takeIf { it.isFile }
    }

    private fun isPlainName(part: String) =
        part.isNotEmpty() && part != "." && part != ".." && '/' !in part && '\u0000' !in part

    /** The path by which [find] returns a file; `null` if it is not shared. */
    fun pathOf(file: File): List<String>? =
        file.relativeToOrNull(root)?.path?.split(File.separator)?.takeIf { find(it) == file }

    /** Creates a file of a kind. Earlier files of this kind are deleted: they have been read. */
    fun create(kind: String, name: String): File {
        File(root, kind).deleteRecursively()
        val file = File(root, "$kind/${UUID.randomUUID()}/${FileNames.sanitize(name, "file")}")
        file.parentFile?.mkdirs()
        file.createNewFile()
        return file
    }

    companion object {
        /** Files that a person chose for a form. */
        const val CHOSEN = "chosen"

        /** The file that the camera app writes. */
        const val CAMERA = "camera"

        /** A sheet or another file that was made to share. */
        const val SHEETS = "sheets"

        /** Exported bundles; the library creates a folder for each. */
        const val BUNDLES = "bundles"

        private val KINDS = setOf(CHOSEN, CAMERA, SHEETS, BUNDLES)
    }
}
