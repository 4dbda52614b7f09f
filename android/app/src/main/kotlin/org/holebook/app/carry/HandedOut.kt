package org.holebook.app.carry

import java.io.File
import java.util.UUID

/**
 * Files that are lent to others: each alone in a folder with a name that nobody can guess, so that an address that was
 * lent leads to that file and to nothing beside it.
 */
class HandedOut(private val root: File) {
    /** Whether what lies under the first part of an address may be written by whom it was lent to. */
    fun isWritable(parts: List<String>): Boolean = parts.firstOrNull() == CAMERA

    /** The file at an address' path, such as `chosen/4f…/face.jpg`; `null` where nothing was lent there. */
    fun find(parts: List<String>): File? {
        if (parts.size != 3 || parts[0] !in KINDS) return null
        if (parts.any { it.isEmpty() || it == "." || it == ".." || it.contains('/') || it.contains('\u0000') }) return null
        return File(root, parts.joinToString(File.separator)).takeIf { it.isFile }
    }

    /** The path of a file of ours that [find] finds again; `null` where it is not lent. */
    fun pathOf(file: File): List<String>? = file.relativeToOrNull(root)?.path?.split(File.separator)?.takeIf { find(it) == file }

    /** A new file of that kind. Files of this kind that were made before are taken away: they have been read. */
    fun fresh(kind: String, name: String): File {
        File(root, kind).deleteRecursively()
        val file = File(root, "$kind/${UUID.randomUUID()}/${Names.clean(name, "file")}")
        file.parentFile?.mkdirs()
        file.createNewFile()
        return file
    }

    companion object {
        /** Photos that a person chose, on their way into a form. */
        const val CHOSEN = "chosen"

        /** What the phone's camera app writes into. */
        const val CAMERA = "camera"

        /** What is shared with other apps. */
        const val SHARED = "shared"

        /** Bundles that were written; the notebook itself puts each into a folder of its own there. */
        const val BUNDLES = "bundles"

        private val KINDS = setOf(CHOSEN, CAMERA, SHARED, BUNDLES)
    }
}
