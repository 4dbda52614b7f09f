package org.holebook.app.host

import java.io.File
import java.net.HttpURLConnection
import java.net.URI
import kotlin.math.abs
import org.holebook.core.Method
import org.holebook.core.Notebook
import org.holebook.core.Request
import org.holebook.core.ResponseBody

/**
 * Compares `answer()` on the JVM, as the shell calls it, with the same notebook over HTTP on
 * a persistent connection. Run by tests/bench/mobile.py; prints a line per path: bytes, then the
 * medians of both in milliseconds.
 *
 *     MeasureKt NOTEBOOK-FOLDER ADDRESS COOKIE PATH...
 */
fun main(args: Array<String>) {
    val (folder, address, cookie) = args
    Notebook.open(folder).use { book ->
        for (path in args.drop(3)) {
            val called = { call(book, path) }
            val fetched = { fetch("$address$path", cookie) }
            // Only the phone's pages show in their heads how much is not synced yet.
            check(abs(called().size - fetched().size) <= HEAD_BYTES) { "$path differs" }
            val (call, http) = medians(called, fetched)
            println("$path ${called().size} $call $http")
        }
        book.shutdown()
    }
}

/** How many bytes the heads of both pages may differ by. */
private const val HEAD_BYTES = 1000

/** Runs of both before the measurement: by then the JVM has compiled the code. */
private const val WARMUP_RUNS = 500
private const val RUNS = 500

/** The medians of both, run in turn, so that other load on the machine affects both alike. */
private fun medians(one: () -> Any, other: () -> Any): Pair<Double, Double> {
    repeat(WARMUP_RUNS) {
        one()
        other()
    }
    val times = List(RUNS) { milliseconds(one) to milliseconds(other) }
    return median(times.map { it.first }) to median(times.map { it.second })
}

private fun median(values: List<Double>) = values.sorted()[values.size / 2]

private fun milliseconds(work: () -> Any): Double {
    val start = System.nanoTime()
    work()
    return (System.nanoTime() - start) / 1e6
}

private fun call(book: Notebook, path: String): ByteArray =
    when (val body = book.answer(Request(Method.GET, path)).body) {
        is ResponseBody.File -> File(body.value).readBytes()
        is ResponseBody.Text -> body.value.toByteArray()
        is ResponseBody.Bytes -> body.value
        ResponseBody.Empty -> error("$path is empty")
    }

private fun fetch(address: String, cookie: String): ByteArray {
    val connection = URI(address).toURL().openConnection() as HttpURLConnection
    connection.setRequestProperty("Cookie", cookie)
    return connection.inputStream.use { it.readBytes() }
}
