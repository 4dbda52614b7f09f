package org.holebook.app.shell

import java.io.File
import java.io.IOException
import java.io.InputStream
import java.io.OutputStream
import java.util.UUID

/**
 * Photos or bundles waiting to be added to the notebook, each a file of its own. Other apps share a
 * file only for a while and not by path, so it is copied here at once; the screens take it by path.
 * It is removed once the notebook has it.
 *
 * [freeSpace] returns how many bytes are free on the disk of a folder.
 */
class FileQueue(
    private val folder: File,
    private val freeSpace: (File) -> Long = File::getUsableSpace,
) {
    /** A file, with the name that people know it by. */
    data class Item(val name: String, val file: File)

    /** The files, oldest first. */
    @Synchronized
    fun items(): List<Item> = folder.listFiles().orEmpty()
        .sortedBy { it.name }
        .mapNotNull { slot -> slot.listFiles()?.singleOrNull()?.takeIf { it.isFile } }
        .map { Item(it.name, it) }

    /**
     * Copies [content] into the queue. No two files get the same name, since a page tells them
     * apart by name alone.
     *
     * @throws IOException if it cannot be read to the end, is larger than its [kind] allows, or
     * the disk is full.
     */
    @Synchronized
    fun put(kind: FileKind, name: String, content: InputStream): Item {
        val slot = File(folder, "%08d-%s".format(nextNumber(), UUID.randomUUID()))
        if (!slot.mkdirs()) throw IOException("the folder for incoming files is not writable")
        val file = File(slot, unusedName(FileNames.sanitize(name, kind.label)))
        try {
            file.outputStream().use { out -> copy(kind, content, out, freeSpace(slot) - RESERVE) }
        } catch (error: IOException) {
            slot.deleteRecursively()
            throw error
        }
        return Item(file.name, file)
    }

    /** The file of that name. */
    fun find(name: String): Item? = items().firstOrNull { it.name == name }

    /** Deletes a file. */
    @Synchronized
    fun remove(item: Item) {
        item.file.parentFile?.deleteRecursively()
    }

    /** Deletes all files. */
    @Synchronized
    fun clear() {
        folder.listFiles().orEmpty().forEach { it.deleteRecursively() }
    }

    /** The number after the highest, so that the files keep their order. */
    private fun nextNumber(): Int {
        val numbers = folder.list().orEmpty().mapNotNull { it.substringBefore('-').toIntOrNull() }
        return 1 + (numbers.maxOrNull() ?: 0)
    }

    private fun unusedName(name: String): String {
        val taken = items().map { it.name }.toSet()
        val names = generateSequence(1) { it + 1 }.map { FileNames.numbered(name, it) }
        return names.first { it !in taken }
    }

    private fun copy(kind: FileKind, content: InputStream, out: OutputStream, free: Long) {
        val buffer = ByteArray(64 * 1024)
        var copied = 0L
        while (true) {
            val read = content.read(buffer)
            if (read < 0) return
            copied += read
            if (copied > kind.maxBytes) throw IOException("it is larger than ${kind.maxSizeText}")
            if (copied > free) throw IOException("the phone's storage is full; free some space")
            out.write(buffer, 0, read)
        }
    }

    private companion object {
        /** Bytes that stay free, so that a large file does not keep the notebook from recording. */
        const val RESERVE = 100L * 1024 * 1024
    }
}
