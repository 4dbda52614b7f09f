#!/usr/bin/env python3
"""Serves an S3-compatible store that checks every signature, for the tests of the bucket shelf.

Packages (from PyPI): those of requirements.txt. Their server works each signature out anew with botocore, which is another
implementation than ours, and refuses what differs.

Prints one line of JSON when it is ready, {"port", "key", "secret"}, with a bucket `parts` in which that key may do all, and
serves until it is ended.
"""

import json
import os
import threading

os.environ.setdefault("AWS_ACCESS_KEY_ID", "made")
os.environ.setdefault("AWS_SECRET_ACCESS_KEY", "up")
os.environ.setdefault("AWS_DEFAULT_REGION", "us-east-1")

import boto3
import requests
from moto.server import ThreadedMotoServer

BUCKET = "parts"
EVERYTHING = {"Version": "2012-10-17", "Statement": [{"Effect": "Allow", "Action": "*", "Resource": "*"}]}


def main():
    server = ThreadedMotoServer(ip_address="127.0.0.1", port=0, verbose=False)
    server.start()
    host, port = server.get_host_and_port()
    at = f"http://{host}:{port}"
    boto3.client("s3", endpoint_url=at).create_bucket(Bucket=BUCKET)
    people = boto3.client("iam", endpoint_url=at)
    people.create_user(UserName="bench")
    people.put_user_policy(UserName="bench", PolicyName="all", PolicyDocument=json.dumps(EVERYTHING))
    key = people.create_access_key(UserName="bench")["AccessKey"]
    # From here on every request is checked.
    requests.post(f"{at}/moto-api/reset-auth", data=b"0", timeout=10).raise_for_status()
    print(json.dumps({"port": port, "key": key["AccessKeyId"], "secret": key["SecretAccessKey"]}), flush=True)
    threading.Event().wait()


main()
