package org.holebook.app.carry

import java.io.File
import java.io.IOException
import java.io.InputStream
import java.io.OutputStream
import java.util.UUID

/**
 * Photos and bundles on their way into the notebook, each a file of its own. Other apps lend a file only for a while and
 * not by path, so it is copied here at once; the screens then take it by path. It leaves when the notebook has it.
 *
 * [room] says how many bytes the disk of a folder has free.
 */
class Basket(private val folder: File, private val room: (File) -> Long = File::getUsableSpace) {
    /** A file: its name as people know it, and where it lies. */
    data class Item(val name: String, val file: File)

    /** The files, those that came first first. */
    @Synchronized
    fun items(): List<Item> = folder.listFiles().orEmpty()
        .sortedBy { it.name }
        .mapNotNull { place -> place.listFiles()?.singleOrNull()?.takeIf { it.isFile } }
        .map { Item(it.name, it) }

    /**
     * Copies [content] in. No two files have one name, since a page tells them apart by name alone.
     *
     * @throws IOException where it cannot be read whole, is larger than one of its [kind] can be, or there is no room for it.
     */
    @Synchronized
    fun put(kind: Kind, name: String, content: InputStream): Item {
        val place = File(folder, "%08d-%s".format(next(), UUID.randomUUID()))
        if (!place.mkdirs()) throw IOException("the folder for incoming files cannot be written")
        val file = File(place, free(Names.clean(name, kind.word)))
        try {
            file.outputStream().use { out -> copy(kind, content, out, room(place) - SPARE) }
        } catch (error: IOException) {
            place.deleteRecursively()
            throw error
        }
        return Item(file.name, file)
    }

    /** The file of that name. */
    fun find(name: String): Item? = items().firstOrNull { it.name == name }

    /** Takes a file away. */
    @Synchronized
    fun remove(item: Item) {
        item.file.parentFile?.deleteRecursively()
    }

    /** Takes all away. */
    @Synchronized
    fun empty() {
        folder.listFiles().orEmpty().forEach { it.deleteRecursively() }
    }

    /** The number after the highest so far, so that files stay in the order in which they came. */
    private fun next(): Int =
        1 + (folder.list().orEmpty().mapNotNull { it.substringBefore('-').toIntOrNull() }.maxOrNull() ?: 0)

    private fun free(name: String): String {
        val taken = items().map { it.name }.toSet()
        return generateSequence(1) { it + 1 }.map { Names.numbered(name, it) }.first { it !in taken }
    }

    private fun copy(kind: Kind, content: InputStream, out: OutputStream, room: Long) {
        val piece = ByteArray(64 * 1024)
        var copied = 0L
        while (true) {
            val read = content.read(piece)
            if (read < 0) return
            copied += read
            if (copied > kind.most) throw IOException("it is larger than ${kind.limit}")
            if (copied > room) throw IOException("the phone has no room for it; make some")
            out.write(piece, 0, read)
        }
    }

    private companion object {
        /** Bytes that stay free, so that a large file from elsewhere does not keep the notebook from being written on. */
        const val SPARE = 100L * 1024 * 1024
    }
}
