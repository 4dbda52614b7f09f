package org.holebook.app.carry

import java.io.ByteArrayOutputStream
import java.nio.ByteBuffer
import java.nio.charset.CharacterCodingException
import java.nio.charset.CodingErrorAction
import org.holebook.core.Pair

/** An address that is not percent-encoded UTF-8. [reason] is a sentence for the person. */
class BadAddress(val reason: String) : Exception(reason)

/** A path and a query, decoded. Read strictly, as the shop computer's carrier does: what is not well formed is refused. */
data class Address(val path: String, val query: List<Pair>) {
    /** The query's value of that name. */
    fun asked(name: String): String? = query.firstOrNull { it.name == name }?.value

    companion object {
        /**
         * Reads what stands after the name in an address, such as `/hole/0?said=reading`.
         *
         * @throws BadAddress where it is not well formed.
         */
        fun read(encoded: String): Address {
            val path = decode(encoded.substringBefore('?'))
            val query = encoded.substringAfter('?', "").split('&').filter { it.isNotEmpty() }
            return Address(path, query.map(::pair))
        }

        private fun pair(encoded: String): Pair {
            val text = encoded.replace('+', ' ')
            return Pair(decode(text.substringBefore('=')), decode(text.substringAfter('=', "")))
        }

        private fun decode(encoded: String): String {
            val bytes = ByteArrayOutputStream(encoded.length)
            var at = 0
            while (at < encoded.length) {
                if (encoded[at] != '%') {
                    val end = encoded.indexOf('%', at).let { if (it < 0) encoded.length else it }
                    bytes.write(encoded.substring(at, end).toByteArray())
                    at = end
                } else {
                    bytes.write(hexadecimal(encoded, at + 1))
                    at += 3
                }
            }
            return text(bytes.toByteArray())
        }

        private fun hexadecimal(encoded: String, at: Int): Int {
            val high = encoded.getOrNull(at)?.digitToIntOrNull(16)
            val low = encoded.getOrNull(at + 1)?.digitToIntOrNull(16)
            if (high == null || low == null) {
                throw BadAddress("A % in the address is not followed by two hexadecimal digits; go back to the castings.")
            }
            return high * 16 + low
        }

        private fun text(bytes: ByteArray): String {
            if (bytes.contains(0)) throw BadAddress("The address holds a zero byte; go back to the castings.")
            val strict = Charsets.UTF_8.newDecoder()
                .onMalformedInput(CodingErrorAction.REPORT)
                .onUnmappableCharacter(CodingErrorAction.REPORT)
            return try {
                strict.decode(ByteBuffer.wrap(bytes)).toString()
            } catch (_: CharacterCodingException) {
                throw BadAddress("The address is not UTF-8 text; go back to the castings.")
            }
        }
    }
}
