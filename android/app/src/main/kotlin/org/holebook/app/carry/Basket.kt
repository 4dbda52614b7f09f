package org.holebook.app.carry

import java.io.File
import java.io.IOException
import java.io.InputStream
import java.util.UUID

/**
 * Photos on their way into the notebook, each a file of its own. Other apps lend a photo only for a while and not by path,
 * so it is copied here at once; the screens then take it by path. It leaves when the notebook has it.
 */
class Basket(private val folder: File) {
    /** A photo: its name as people know it, and where it lies. */
    data class Photo(val name: String, val file: File) {
        /** The name of the folder that holds only this photo. */
        val id: String get() = file.parentFile?.name.orEmpty()
    }

    /** The photos, those that came first first. */
    @Synchronized
    fun photos(): List<Photo> = folder.listFiles().orEmpty()
        .sortedBy { it.name }
        .mapNotNull { place -> place.listFiles()?.singleOrNull()?.takeIf { it.isFile } }
        .map { Photo(it.name, it) }

    /**
     * Copies [content] in. No two photos have one name, since a page tells them apart by name alone.
     *
     * @throws IOException where it cannot be read whole, is larger than a photo can be, or there is no room.
     */
    @Synchronized
    fun put(name: String, content: InputStream): Photo {
        val place = File(folder, "%08d-%s".format(next(), UUID.randomUUID()))
        if (!place.mkdirs()) throw IOException("the folder for incoming photos cannot be written")
        val file = File(place, free(Names.clean(name)))
        try {
            file.outputStream().use { out -> copy(content, out) }
        } catch (error: IOException) {
            place.deleteRecursively()
            throw error
        }
        return Photo(file.name, file)
    }

    /** The photo of that name. */
    fun find(name: String): Photo? = photos().firstOrNull { it.name == name }

    /** Takes a photo away. */
    @Synchronized
    fun remove(photo: Photo) {
        photo.file.parentFile?.deleteRecursively()
    }

    /** Takes all away. */
    @Synchronized
    fun empty() {
        folder.listFiles().orEmpty().forEach { it.deleteRecursively() }
    }

    /** The number after the highest so far, so that photos stay in the order in which they came. */
    private fun next(): Int =
        1 + (folder.list().orEmpty().mapNotNull { it.substringBefore('-').toIntOrNull() }.maxOrNull() ?: 0)

    private fun free(name: String): String {
        val taken = photos().map { it.name }.toSet()
        return generateSequence(1) { it + 1 }.map { Names.numbered(name, it) }.first { it !in taken }
    }

    private fun copy(content: InputStream, out: java.io.OutputStream) {
        val piece = ByteArray(64 * 1024)
        var left = LARGEST
        while (true) {
            val read = content.read(piece)
            if (read < 0) return
            left -= read
            if (left < 0) throw IOException("it is larger than 250 MB")
            out.write(piece, 0, read)
        }
    }

    private companion object {
        /** Bytes; as the shop computer's carrier allows for one form. */
        const val LARGEST = 250L * 1024 * 1024
    }
}
