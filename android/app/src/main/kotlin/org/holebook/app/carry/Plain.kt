package org.holebook.app.carry

import org.holebook.core.Header
import org.holebook.core.Response
import org.holebook.core.ResponseBody

/** The few pages that are the shell's own. They wear the notebook's style and say one thing each. */
object Plain {
    private const val POLICY = "default-src 'none'; style-src 'self'; script-src 'self'; img-src data:; " +
        "connect-src 'self'; form-action 'self'; base-uri 'none'; frame-ancestors 'none'"

    /** A page of one heading and one sentence, with the way back. */
    fun saying(status: Int, title: String, sentence: String): Response =
        page(status, title, """<p class="problem" role="alert">${escaped(sentence)}</p>""")

    /** A page with content of its own; [content] is HTML. Its last line leads [back]: an address, and what the way there is called. */
    fun page(status: Int, title: String, content: String, back: kotlin.Pair<String, String> = "/" to "Back to the castings"): Response {
        val name = escaped(title)
        return html(
            status,
            """
            |<!DOCTYPE html><html lang="en"><head><meta charset="utf-8">
            |<meta name="viewport" content="width=device-width, initial-scale=1">
            |<title>$name · Holebook</title>
            |<link rel="stylesheet" href="/style.css"><link rel="icon" href="data:,">
            |<script type="module" src="/once.js"></script></head>
            |<body><header class="top"><a class="name" href="/">Holebook</a></header>
            |<main id="main"><h1>$name</h1>$content
            |<p><a class="button" href="${back.first}">${back.second}</a></p></main></body></html>
            """.trimMargin(),
        )
    }

    /** Goes on at another address of the notebook by itself: the WebView takes no redirect from the shell. */
    fun leadingTo(address: String): Response {
        val there = escaped(address)
        return html(
            200,
            """
            |<!DOCTYPE html><html lang="en"><head><meta charset="utf-8"><title>Holebook</title>
            |<meta http-equiv="refresh" content="0;url=$there"></head>
            |<body><main id="main"><p><a href="$there">Go on</a></p></main></body></html>
            """.trimMargin(),
        )
    }

    /** The shell's own script or style. */
    fun asset(type: String, text: String): Response =
        Response(200u, listOf(Header("content-type", "$type; charset=utf-8"), Header("cache-control", "no-store")), ResponseBody.Text(text))

    /** Nothing to show. */
    fun nothing(): Response = Response(204u, listOf(Header("cache-control", "no-store")), ResponseBody.Empty)

    /** To another page, after something was done. */
    fun see(address: String): Response = Response(303u, listOf(Header("location", address)), ResponseBody.Empty)

    /** Text as it may stand in HTML, in quotes too. */
    fun escaped(text: String): String = buildString(text.length) {
        for (letter in text) {
            when (letter) {
                '&' -> append("&amp;")
                '<' -> append("&lt;")
                '>' -> append("&gt;")
                '"' -> append("&quot;")
                '\'' -> append("&#39;")
                else -> append(letter)
            }
        }
    }

    private fun html(status: Int, text: String): Response {
        val headers = listOf(
            Header("content-type", "text/html; charset=utf-8"),
            Header("cache-control", "no-store"),
            Header("content-security-policy", POLICY),
        )
        return Response(status.toUShort(), headers, ResponseBody.Text(text))
    }
}
