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
 * What `answer()` costs on the JVM, as the phone's shell calls it, against the same notebook shown over HTTP on a connection
 * that stays open. Run by `tests/bench/mobile`; a line for each path: its bytes, then the medians of both in milliseconds.
 *
 *     MeasureKt NOTEBOOK-FOLDER ADDRESS COOKIE PATH...
 */
fun main(args: Array<String>) {
    val (folder, address, cookie) = args
    Notebook.open(folder).use { book ->
        for (path in args.drop(3)) {
            val called = { called(book, path) }
            val carried = { carried("$address$path", cookie) }
            // The phone's page says in its head what is not home yet, the shop computer's does not.
            check(abs(called().size - carried().size) <= HEAD) { "$path differs" }
            val (call, http) = medians(called, carried)
            println("$path ${called().size} $call $http")
        }
        book.shutdown()
    }
}

/** By how many bytes the heads of both pages may differ. */
private const val HEAD = 1000

/** So often both are done before they are measured: by then the JVM has compiled what they run. */
private const val WARM = 500
private const val TIMES = 500

/** The medians of both, taken in turn so that what else the machine does falls on both alike. */
private fun medians(one: () -> Any, other: () -> Any): Pair<Double, Double> {
    repeat(WARM) { one(); other() }
    val taken = List(TIMES) { milliseconds(one) to milliseconds(other) }
    return middle(taken.map { it.first }) to middle(taken.map { it.second })
}

private fun middle(values: List<Double>) = values.sorted()[values.size / 2]

private fun milliseconds(work: () -> Any): Double {
    val begun = System.nanoTime()
    work()
    return (System.nanoTime() - begun) / 1e6
}

private fun called(book: Notebook, path: String): ByteArray =
    when (val body = book.answer(Request(Method.GET, path)).body) {
        is ResponseBody.File -> File(body.path).readBytes()
        is ResponseBody.Text -> body.text.toByteArray()
        ResponseBody.Empty -> error("$path is empty")
    }

private fun carried(address: String, cookie: String): ByteArray {
    val connection = URI(address).toURL().openConnection() as HttpURLConnection
    connection.setRequestProperty("Cookie", cookie)
    return connection.inputStream.use { it.readBytes() }
}
