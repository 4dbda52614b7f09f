package org.holebook.app.carry

import org.holebook.core.Header
import org.holebook.core.Response
import org.holebook.core.ResponseBody

/** The value of a response's header field of that name, written in small letters. */
fun Response.header(name: String): String? = headers.firstOrNull { it.name == name }?.value

/** Whether the response is a page, or part of one. */
val Response.isHtml: Boolean
    get() = header("content-type")?.startsWith("text/html") == true

/** Where a response leads on to; `null` where it is itself the answer. */
val Response.leadsTo: String?
    get() = if (status.toInt() in 300..399) header("location") else null

/** The text that a response carries; empty where it carries a file or nothing. */
val Response.words: String
    get() = (body as? ResponseBody.Text)?.text.orEmpty()

/** The same response with other text. */
fun Response.saying(text: String): Response = copy(body = ResponseBody.Text(text))

/**
 * What every response carries, whoever made it: no guessing at its type, nothing shown inside another page, and a policy
 * that lets in nothing from elsewhere where the response brings none of its own.
 */
fun Response.hardened(): Response {
    val always = listOf(
        Header("x-content-type-options", "nosniff"),
        Header("x-frame-options", "DENY"),
        Header("referrer-policy", "same-origin"),
        Header("cross-origin-opener-policy", "same-origin"),
        Header("cross-origin-resource-policy", "same-origin"),
        Header("content-security-policy", NOTHING),
    )
    return copy(headers = headers + always.filter { header(it.name) == null })
}

private const val NOTHING = "default-src 'none'; base-uri 'none'; form-action 'none'; frame-ancestors 'none'"
